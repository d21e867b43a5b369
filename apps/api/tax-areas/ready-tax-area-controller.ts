import { Controller, Get, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { copyReadyArea, listReadyAreas } from '#backoffice/tax/ready-areas';
import { copyReadyTaxAreaSchema, readyTaxAreaQuerySchema, readyTaxAreasSchema } from '#contracts/ready-area';
import { taxAreaSchema } from '#contracts/tax';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = {
  access: 'tax-area.read',
  summary: 'List the ready tax areas',
  description: 'Taxes and limits of the law as they are published, each with its source and the day on which it was read. Check them with your tax authority.',
  query: readyTaxAreaQuerySchema,
  answer: readyTaxAreasSchema,
} as const;
const copy = {
  access: 'tax-area.create',
  summary: 'Record a tax area as a copy of a ready one',
  description: 'Its rules and limits are copied and are yours to change.',
  body: copyReadyTaxAreaSchema,
  status: 201,
  answer: taxAreaSchema,
  once: true,
  revision: 'shown',
  problems: ['invalid-command', 'already-exists'],
} as const;

@Controller('v1')
export class ReadyTaxAreaController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get('ready-tax-areas')
  @Endpoint(list)
  listReady(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listReadyAreas(this.backoffice, caller, query);
  }

  @Post('tax-areas/copies')
  @Endpoint(copy)
  copyReady(@Asked() { caller, body }: AskedFor<typeof copy>) {
    return copyReadyArea(this.backoffice, caller, body);
  }
}
