import { Controller, Get, Inject } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { listLateChanges } from '#backoffice/settlement/late-changes';
import { pageQuerySchema } from '#contracts/page';
import { lateChangePageSchema } from '#contracts/settlement';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = {
  access: 'late-change.read',
  summary: 'List what changed in numbered periods and waits for the next settlement',
  query: pageQuerySchema,
  answer: lateChangePageSchema,
  problems: ['invalid-cursor'],
} as const;

@Controller('v1/late-changes')
export class LateChangeController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listLateChanges(this.backoffice, caller, query);
  }
}
