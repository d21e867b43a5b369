import { Controller, Get, Inject, Patch, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { changeInstallation } from '#backoffice/installation/change';
import { createInstallation } from '#backoffice/installation/create';
import { endInstallation } from '#backoffice/installation/end';
import { listInstallations, readInstallation } from '#backoffice/installation/read';
import { replaceInstallation } from '#backoffice/installation/replace';
import { idParamsSchema } from '#contracts/format';
import {
  changeInstallationSchema,
  createInstallationSchema,
  endInstallationSchema,
  installationListQuerySchema,
  installationPageSchema,
  installationReplacementSchema,
  installationSchema,
  replaceInstallationSchema,
} from '#contracts/installation';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'installation.read', summary: 'List the installations of games in machines, the latest first', query: installationListQuerySchema, answer: installationPageSchema, problems: ['invalid-cursor'] } as const;
const read = { access: 'installation.read', summary: 'Read an installation', params: idParamsSchema, answer: installationSchema, revision: 'shown' } as const;
const create = {
  access: 'installation.create',
  summary: 'Install a game in a machine',
  body: createInstallationSchema,
  status: 201,
  answer: installationSchema,
  once: true,
  revision: 'shown',
  problems: ['invalid-command', 'already-exists'],
} as const;
const change = {
  access: 'installation.change',
  summary: 'Correct the days of an installation',
  params: idParamsSchema,
  body: changeInstallationSchema,
  answer: installationSchema,
  revision: 'needed',
  problems: ['invalid-command', 'already-exists'],
} as const;
const end = {
  access: 'installation.end',
  summary: 'Take a game out of its machine',
  params: idParamsSchema,
  body: endInstallationSchema,
  answer: installationSchema,
  once: true,
  revision: 'shown',
  problems: ['invalid-command', 'wrong-state'],
} as const;
const replace = {
  access: 'installation.replace',
  summary: 'Change the game in a machine',
  description: 'Ends this installation and begins one of the other game on the same day, or does neither.',
  params: idParamsSchema,
  body: replaceInstallationSchema,
  status: 201,
  answer: installationReplacementSchema,
  once: true,
  problems: ['invalid-command', 'already-exists', 'wrong-state'],
} as const;

@Controller('v1/installations')
export class InstallationController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listInstallations(this.backoffice, caller, query);
  }

  @Get(':id')
  @Endpoint(read)
  read(@Asked() { caller, params }: AskedFor<typeof read>) {
    return readInstallation(this.backoffice, caller, params);
  }

  @Post()
  @Endpoint(create)
  create(@Asked() { caller, body }: AskedFor<typeof create>) {
    return createInstallation(this.backoffice, caller, body);
  }

  @Patch(':id')
  @Endpoint(change)
  change(@Asked() { caller, params, body, expectedRevision }: AskedFor<typeof change>) {
    return changeInstallation(this.backoffice, caller, { id: params.id, expectedRevision, change: body });
  }

  @Post(':id/end')
  @Endpoint(end)
  end(@Asked() { caller, params, body }: AskedFor<typeof end>) {
    return endInstallation(this.backoffice, caller, { ...body, id: params.id });
  }

  @Post(':id/replace')
  @Endpoint(replace)
  replace(@Asked() { caller, params, body }: AskedFor<typeof replace>) {
    return replaceInstallation(this.backoffice, caller, { ...body, installationId: params.id });
  }
}
