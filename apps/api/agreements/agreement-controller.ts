import { Controller, Get, Inject, Patch, Post } from '@nestjs/common';
import { changeAgreement, endAgreement } from '#backoffice/agreement/change';
import { createAgreement } from '#backoffice/agreement/create';
import { checkTerms, listAgreements, readAgreement } from '#backoffice/agreement/read';
import { createVersion, listVersions } from '#backoffice/agreement/versions';
import type { Backoffice } from '#backoffice/dependencies';
import {
  agreementListQuerySchema,
  agreementPageSchema,
  agreementSchema,
  agreementVersionSchema,
  changeAgreementSchema,
  checkedTermsSchema,
  checkTermsSchema,
  createAgreementSchema,
  createVersionSchema,
  endAgreementSchema,
  versionListQuerySchema,
  versionPageSchema,
} from '#contracts/agreement';
import { idParamsSchema } from '#contracts/format';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'agreement.read', summary: 'List the agreements', query: agreementListQuerySchema, answer: agreementPageSchema, problems: ['invalid-cursor'] } as const;
const read = { access: 'agreement.read', summary: 'Read an agreement', params: idParamsSchema, answer: agreementSchema, revision: 'shown' } as const;
const create = {
  access: 'agreement.create',
  summary: 'Record an agreement with its first terms',
  description: 'In the terms the operator goes by the id `operator`; the site and others go by the ids of their parties.',
  body: createAgreementSchema,
  status: 201,
  answer: agreementSchema,
  once: true,
  revision: 'shown',
  problems: ['invalid-command', 'already-exists'],
} as const;
const change = {
  access: 'agreement.change',
  summary: 'Change an agreement beside its terms',
  params: idParamsSchema,
  body: changeAgreementSchema,
  answer: agreementSchema,
  revision: 'needed',
  problems: ['invalid-command', 'already-exists'],
} as const;
const end = {
  access: 'agreement.end',
  summary: 'End an agreement',
  params: idParamsSchema,
  body: endAgreementSchema,
  answer: agreementSchema,
  once: true,
  revision: 'shown',
  problems: ['invalid-command', 'wrong-state'],
} as const;
const check = {
  access: 'agreement.create',
  summary: 'Check terms and read them in plain words, without recording anything',
  body: checkTermsSchema,
  answer: checkedTermsSchema,
  spoken: true,
  problems: ['invalid-command'],
} as const;
const versions = {
  access: 'agreement.read',
  summary: 'List the versions of an agreement, the latest first',
  params: idParamsSchema,
  query: versionListQuerySchema,
  answer: versionPageSchema,
  spoken: true,
  problems: ['invalid-cursor'],
} as const;
const addVersion = {
  access: 'agreement.change',
  summary: 'Record terms that hold from a day on',
  description: 'Terms that reach into settled periods need a reason and `confirmRetroactive`; those periods are settled again, by difference, in the next settlement.',
  params: idParamsSchema,
  body: createVersionSchema,
  status: 201,
  answer: agreementVersionSchema,
  spoken: true,
  once: true,
  problems: ['invalid-command', 'already-exists'],
} as const;

@Controller('v1/agreements')
export class AgreementController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listAgreements(this.backoffice, caller, query);
  }

  @Get(':id')
  @Endpoint(read)
  read(@Asked() { caller, params }: AskedFor<typeof read>) {
    return readAgreement(this.backoffice, caller, params);
  }

  @Post()
  @Endpoint(create)
  create(@Asked() { caller, body }: AskedFor<typeof create>) {
    return createAgreement(this.backoffice, caller, body);
  }

  @Patch(':id')
  @Endpoint(change)
  change(@Asked() { caller, params, body, expectedRevision }: AskedFor<typeof change>) {
    return changeAgreement(this.backoffice, caller, { id: params.id, expectedRevision, change: body });
  }

  @Post(':id/end')
  @Endpoint(end)
  end(@Asked() { caller, params, body }: AskedFor<typeof end>) {
    return endAgreement(this.backoffice, caller, { ...body, id: params.id });
  }

  @Post('terms/check')
  @Endpoint(check)
  check(@Asked() { caller, body }: AskedFor<typeof check>) {
    return checkTerms(this.backoffice, caller, body);
  }

  @Get(':id/versions')
  @Endpoint(versions)
  versions(@Asked() { caller, params, query }: AskedFor<typeof versions>) {
    return listVersions(this.backoffice, caller, { ...query, agreementId: params.id });
  }

  @Post(':id/versions')
  @Endpoint(addVersion)
  addVersion(@Asked() { caller, params, body }: AskedFor<typeof addVersion>) {
    return createVersion(this.backoffice, caller, { ...body, agreementId: params.id });
  }
}
