import { Controller, Get, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { closeKeyCase, endKeyCase } from '#backoffice/key-case/close';
import { confirmKeyCaseStep } from '#backoffice/key-case/confirm';
import { listExposedCollections } from '#backoffice/key-case/exposed';
import { openKeyCase } from '#backoffice/key-case/open';
import { listKeyCases, readKeyCase } from '#backoffice/key-case/read';
import { idParamsSchema } from '#contracts/format';
import {
  closeKeyCaseSchema,
  confirmKeyCaseStepSchema,
  exposedCollectionListQuerySchema,
  exposedCollectionPageSchema,
  keyCaseListQuerySchema,
  keyCasePageSchema,
  keyCaseSchema,
  openKeyCaseSchema,
} from '#contracts/key-case';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'key-case.read', summary: 'List cases of lost keys, with how far each is', query: keyCaseListQuerySchema, answer: keyCasePageSchema, problems: ['invalid-cursor'] } as const;
const read = {
  access: 'key-case.read',
  summary: 'Show what a lost key opens, and what is done about it',
  description: 'Reporting a key missing opens a case by itself. It shows every lock that the key fits, the cash there, who else has copies, and the plan with a deadline for each lock.',
  params: idParamsSchema,
  answer: keyCaseSchema,
} as const;
const open = {
  access: 'key-case.open',
  summary: 'Open a case by hand',
  description: 'For a cut of which others may have keys though no copy is missing. A report of a missing key opens its case by itself.',
  body: openKeyCaseSchema,
  answer: keyCaseSchema,
  status: 201,
  once: true,
  problems: ['invalid-command', 'already-exists', 'changed-meanwhile'],
} as const;
const confirm = {
  access: 'key-case.confirm',
  summary: 'Confirm a step of a case',
  params: idParamsSchema,
  body: confirmKeyCaseStepSchema,
  answer: keyCaseSchema,
  once: true,
  problems: ['invalid-command', 'already-exists', 'wrong-state'],
} as const;
const close = {
  access: 'key-case.close',
  summary: 'Close a case, once no lock takes the old key',
  params: idParamsSchema,
  body: closeKeyCaseSchema,
  answer: keyCaseSchema,
  once: true,
  problems: ['locks-not-changed', 'copies-not-called-in', 'wrong-state'],
} as const;
const end = {
  access: 'key-case.end',
  summary: 'End a case whose keys were found',
  description: 'The old locks stay. A key that was found may have been copied meanwhile.',
  params: idParamsSchema,
  body: closeKeyCaseSchema,
  answer: keyCaseSchema,
  once: true,
  problems: ['wrong-state', 'changed-meanwhile'],
} as const;
const exposed = {
  access: 'key-case.read',
  summary: 'List collections of boxes that a lost key opened',
  query: exposedCollectionListQuerySchema,
  answer: exposedCollectionPageSchema,
  problems: ['invalid-cursor'],
} as const;

@Controller('v1')
export class KeyCaseController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get('key-cases')
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listKeyCases(this.backoffice, caller, query);
  }

  @Post('key-cases')
  @Endpoint(open)
  open(@Asked() { caller, body }: AskedFor<typeof open>) {
    return openKeyCase(this.backoffice, caller, body);
  }

  @Get('key-cases/:id')
  @Endpoint(read)
  read(@Asked() { caller, params }: AskedFor<typeof read>) {
    return readKeyCase(this.backoffice, caller, params);
  }

  @Post('key-cases/:id/steps')
  @Endpoint(confirm)
  confirm(@Asked() { caller, params, body }: AskedFor<typeof confirm>) {
    return confirmKeyCaseStep(this.backoffice, caller, { ...body, stepId: body.id, id: params.id });
  }

  @Post('key-cases/:id/close')
  @Endpoint(close)
  close(@Asked() { caller, params, body }: AskedFor<typeof close>) {
    return closeKeyCase(this.backoffice, caller, { ...body, id: params.id });
  }

  @Post('key-cases/:id/end')
  @Endpoint(end)
  end(@Asked() { caller, params, body }: AskedFor<typeof end>) {
    return endKeyCase(this.backoffice, caller, { ...body, id: params.id });
  }

  @Get('exposed-collections')
  @Endpoint(exposed)
  exposed(@Asked() { caller, query }: AskedFor<typeof exposed>) {
    return listExposedCollections(this.backoffice, caller, query);
  }
}
