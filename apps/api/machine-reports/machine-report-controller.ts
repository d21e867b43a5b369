import { Controller, Get, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { dismissMachineFault, listMachineFaults } from '#backoffice/machine-report/faults';
import { readReports, takeReport } from '#backoffice/machine-report/report';
import { listMachineTokens, makeMachineToken, revokeMachineToken } from '#backoffice/machine-report/token';
import { idParamsSchema } from '#contracts/format';
import { dismissedFaultSchema, dismissFaultSchema, machineFaultsSchema, machineReportsQuerySchema, machineReportsSchema, machineTokenSchema, machineTokensSchema, madeMachineTokenSchema, makeMachineTokenSchema, reportedSchema, reportSchema } from '#contracts/machine-report';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'machine-token.read', summary: 'List tokens with which machines report', answer: machineTokensSchema } as const;
const make = { access: 'machine-token.make', summary: 'Make a token with which one machine reports', body: makeMachineTokenSchema, answer: madeMachineTokenSchema, status: 201, once: true, problems: ['invalid-command', 'already-exists'] } as const;
const revoke = { access: 'machine-token.revoke', summary: 'Revoke the token of a machine', params: idParamsSchema, answer: machineTokenSchema, once: true } as const;
const report = {
  access: 'public',
  summary: 'Report meters and events of the machine that the bearer token speaks for',
  description: 'Any number a day, repeated, late and out of order: what came before is not counted again, so that no Idempotency-Key is needed.',
  body: reportSchema,
  answer: reportedSchema,
  byToken: true,
  problems: ['not-signed-in', 'invalid-command'],
} as const;
const faults = {
  access: 'outage.read',
  summary: 'List faults and open doors that machines reported and that no outage accounts for',
  description: 'Of the last 30 days. A machine proposes; an outage counts when somebody records it (`POST /v1/outages`, `POST /v1/outages/{id}/end`).',
  answer: machineFaultsSchema,
} as const;
const dismiss = {
  access: 'machine-fault.dismiss',
  summary: 'Dismiss a fault or an open door that a machine reported: it is no outage',
  description: 'It is proposed no more; the same fault is again when it begins anew.',
  body: dismissFaultSchema,
  answer: dismissedFaultSchema,
  status: 201,
  once: true,
  problems: ['invalid-command', 'already-exists'],
} as const;
const read = { access: 'machine-report.read', summary: 'List the latest that a machine reported', params: idParamsSchema, query: machineReportsQuerySchema, answer: machineReportsSchema, problems: ['being-counted'] } as const;

@Controller('v1')
export class MachineReportController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get('machine-tokens')
  @Endpoint(list)
  list(@Asked() { caller }: AskedFor<typeof list>) {
    return listMachineTokens(this.backoffice, caller);
  }

  @Post('machine-tokens')
  @Endpoint(make)
  make(@Asked() { caller, body }: AskedFor<typeof make>) {
    return makeMachineToken(this.backoffice, caller, body);
  }

  @Post('machine-tokens/:id/revoke')
  @Endpoint(revoke)
  revoke(@Asked() { caller, params }: AskedFor<typeof revoke>) {
    return revokeMachineToken(this.backoffice, caller, params);
  }

  @Post('machine-reports')
  @Endpoint(report)
  report(@Asked() { body, request }: AskedFor<typeof report>) {
    const secret = /^Bearer ([\x21-\x7e]{1,200})$/i.exec(request.headers.authorization ?? '')?.[1];
    return takeReport(this.backoffice, { ...body, secret, requestId: request.id });
  }

  @Get('machine-faults')
  @Endpoint(faults)
  faults(@Asked() { caller }: AskedFor<typeof faults>) {
    return listMachineFaults(this.backoffice, caller);
  }

  @Post('machine-faults/dismissals')
  @Endpoint(dismiss)
  dismiss(@Asked() { caller, body }: AskedFor<typeof dismiss>) {
    return dismissMachineFault(this.backoffice, caller, body);
  }

  @Get('machines/:id/reports')
  @Endpoint(read)
  read(@Asked() { caller, params, query }: AskedFor<typeof read>) {
    return readReports(this.backoffice, caller, { machineId: params.id, ...query });
  }
}
