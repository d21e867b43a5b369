import { Controller, Get, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { exportYearEnd, readYearEnd } from '#backoffice/year-end/read';
import { recordTaxpayerNumber } from '#backoffice/year-end/taxpayer-number';
import { recordTaxpayerNumberSchema, taxpayerNumberSchema, yearEndQuerySchema, yearEndSchema } from '#contracts/year-end';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const read = {
  access: 'year-end.read',
  summary: 'Show what every payee was paid in a year, and whose rents are to be reported',
  description: 'By the day of payment. Leases count as rents, joint ventures do not.',
  query: yearEndQuerySchema,
  answer: yearEndSchema,
} as const;
const exported = {
  access: 'year-end.export',
  summary: 'Download what every payee was paid in a year as CSV',
  description: 'With taxpayer numbers in full.',
  query: yearEndQuerySchema,
  file: 'text/csv; charset=utf-8',
} as const;
const record = {
  access: 'taxpayer-number.record',
  summary: 'Record the taxpayer number of a payee',
  body: recordTaxpayerNumberSchema,
  answer: taxpayerNumberSchema,
  status: 201,
  once: true,
  problems: ['invalid-command', 'already-exists'],
} as const;

@Controller('v1')
export class YearEndController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get('year-end')
  @Endpoint(read)
  read(@Asked() { caller, query }: AskedFor<typeof read>) {
    return readYearEnd(this.backoffice, caller, query);
  }

  @Get('year-end/export')
  @Endpoint(exported)
  exportYear(@Asked() { caller, query }: AskedFor<typeof exported>) {
    return exportYearEnd(this.backoffice, caller, query);
  }

  @Post('taxpayer-numbers')
  @Endpoint(record)
  record(@Asked() { caller, body }: AskedFor<typeof record>) {
    return recordTaxpayerNumber(this.backoffice, caller, body);
  }
}
