import { Controller, Get, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { confirmOutage, endOutage, listOutages, reportOutage, takeBackOutage } from '#backoffice/outage/outage';
import { idParamsSchema } from '#contracts/format';
import { endOutageSchema, outageListQuerySchema, outagePageSchema, outageSchema, reportOutageSchema, takeBackOutageSchema } from '#contracts/meter';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'outage.read', summary: 'List outages of machines, the latest first', query: outageListQuerySchema, answer: outagePageSchema, problems: ['invalid-cursor'] } as const;
const report = {
  access: 'outage.report',
  summary: 'Report that a machine does not work, or did not',
  body: reportOutageSchema,
  answer: outageSchema,
  status: 201,
  once: true,
  problems: ['invalid-command', 'already-exists'],
} as const;
const end = {
  access: 'outage.report',
  summary: 'Say that a machine works again, and what was done',
  params: idParamsSchema,
  body: endOutageSchema,
  answer: outageSchema,
  once: true,
  problems: ['invalid-command', 'wrong-state'],
} as const;

const confirm = {
  access: 'outage.confirm',
  summary: 'Confirm an outage that somebody else reported',
  description: 'Of a count that the reporter had a hand in an outage explains nothing until it is confirmed.',
  params: idParamsSchema,
  answer: outageSchema,
  once: true,
  problems: ['wrong-state', 'second-person-needed'],
} as const;

const takeBack = {
  access: 'outage.take-back',
  summary: 'Take back an outage that was wrong',
  params: idParamsSchema,
  body: takeBackOutageSchema,
  answer: outageSchema,
  once: true,
  problems: ['wrong-state'],
} as const;

@Controller('v1/outages')
export class OutageController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listOutages(this.backoffice, caller, query);
  }

  @Post()
  @Endpoint(report)
  report(@Asked() { caller, body }: AskedFor<typeof report>) {
    return reportOutage(this.backoffice, caller, body);
  }

  @Post(':id/end')
  @Endpoint(end)
  end(@Asked() { caller, params, body }: AskedFor<typeof end>) {
    return endOutage(this.backoffice, caller, { ...body, id: params.id });
  }

  @Post(':id/confirmation')
  @Endpoint(confirm)
  confirm(@Asked() { caller, params }: AskedFor<typeof confirm>) {
    return confirmOutage(this.backoffice, caller, params);
  }

  @Post(':id/taking-back')
  @Endpoint(takeBack)
  takeBack(@Asked() { caller, params, body }: AskedFor<typeof takeBack>) {
    return takeBackOutage(this.backoffice, caller, { ...body, id: params.id });
  }
}
