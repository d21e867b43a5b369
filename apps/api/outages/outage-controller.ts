import { Controller, Get, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { endOutage, listOutages, reportOutage } from '#backoffice/outage/outage';
import { idParamsSchema } from '#contracts/format';
import { endOutageSchema, outageListQuerySchema, outagePageSchema, outageSchema, reportOutageSchema } from '#contracts/meter';
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
}
