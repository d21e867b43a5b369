import { Controller, Get, Inject } from '@nestjs/common';
import { listAuditTrail } from '#backoffice/audit-trail/list';
import type { Backoffice } from '#backoffice/dependencies';
import { auditTrailPageSchema, auditTrailQuerySchema } from '#contracts/audit-trail';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'audit-trail.read', summary: 'List who changed what, newest first', query: auditTrailQuerySchema, answer: auditTrailPageSchema, problems: ['invalid-cursor'] } as const;

@Controller('v1/audit-trail')
export class AuditTrailController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  listAuditTrail(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listAuditTrail(this.backoffice, caller, query);
  }
}
