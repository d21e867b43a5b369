import { Controller, Get, Inject } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { exportEarnings } from '#backoffice/earnings/export';
import { readEarnings } from '#backoffice/earnings/read';
import { earningsQuerySchema, earningsSchema } from '#contracts/earnings';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const read = {
  access: 'earnings.read',
  summary: 'Show takings a day by place, cabinet and game, and swaps worth trying',
  description: 'A good place and a good game are told apart by a stated, simple model, with the range of each estimate.',
  query: earningsQuerySchema,
  answer: earningsSchema,
  spoken: true,
} as const;

const file = { access: 'earnings.read', summary: 'Download takings a day and swaps worth trying as CSV', query: earningsQuerySchema, file: 'text/csv; charset=utf-8' } as const;

@Controller('v1/earnings')
export class EarningsController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(read)
  read(@Asked() { caller, query }: AskedFor<typeof read>) {
    return readEarnings(this.backoffice, caller, query);
  }

  @Get('export')
  @Endpoint(file)
  export(@Asked() { caller, query }: AskedFor<typeof file>) {
    return exportEarnings(this.backoffice, caller, query);
  }
}
