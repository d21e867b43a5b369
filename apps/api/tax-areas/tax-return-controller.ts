import { Controller, Get, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { fileReturn, listReturns, readReturn } from '#backoffice/tax-return/file';
import { exportWorksheet, readWorksheet } from '#backoffice/tax-return/worksheet';
import { idParamsSchema } from '#contracts/format';
import {
  filedTaxReturnSchema,
  fileTaxReturnSchema,
  taxReturnListQuerySchema,
  taxReturnPageSchema,
  taxReturnParamsSchema,
  taxReturnSchema,
  taxWorksheetSchema,
  worksheetExportQuerySchema,
  worksheetQuerySchema,
} from '#contracts/tax-return';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const worksheet = {
  access: 'tax-return.read',
  summary: 'Show the tax of an area and filing month',
  description: 'Base and tax per component, site and machine over all sites of the area, and why it differs from what settlements booked.',
  params: idParamsSchema,
  query: worksheetQuerySchema,
  answer: taxWorksheetSchema,
  problems: ['no-tax-in-force', 'cannot-be-settled'],
} as const;
const exported = {
  access: 'tax-return.read',
  summary: 'Download the tax of an area and filing month as CSV',
  params: idParamsSchema,
  query: worksheetExportQuerySchema,
  file: 'text/csv; charset=utf-8',
  problems: ['no-tax-in-force', 'cannot-be-settled'],
} as const;
const list = {
  access: 'tax-return.read',
  summary: 'List the returns that were filed for an area',
  params: idParamsSchema,
  query: taxReturnListQuerySchema,
  answer: taxReturnPageSchema,
  problems: ['invalid-cursor'],
} as const;
const read = { access: 'tax-return.read', summary: 'Read a return with its figures as filed', params: taxReturnParamsSchema, answer: filedTaxReturnSchema } as const;
const file = {
  access: 'tax-return.file',
  summary: 'Record the figures of a month as filed',
  description: 'They are stored as they are and posted to the journal. Filed again after later changes, the return is an amended one and posts the difference.',
  params: idParamsSchema,
  body: fileTaxReturnSchema,
  status: 201,
  answer: taxReturnSchema,
  once: true,
  problems: ['invalid-command', 'already-exists', 'wrong-state', 'figures-changed', 'journal-closed', 'no-tax-in-force', 'cannot-be-settled'],
} as const;

@Controller('v1/tax-areas/:id')
export class TaxReturnController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get('worksheet')
  @Endpoint(worksheet)
  worksheet(@Asked() { caller, params, query }: AskedFor<typeof worksheet>) {
    return readWorksheet(this.backoffice, caller, { ...query, id: params.id });
  }

  @Get('worksheet/export')
  @Endpoint(exported)
  exportWorksheet(@Asked() { caller, params, query }: AskedFor<typeof exported>) {
    return exportWorksheet(this.backoffice, caller, { ...query, id: params.id });
  }

  @Get('returns')
  @Endpoint(list)
  listReturns(@Asked() { caller, params, query }: AskedFor<typeof list>) {
    return listReturns(this.backoffice, caller, { ...query, areaId: params.id });
  }

  @Get('returns/:returnId')
  @Endpoint(read)
  readReturn(@Asked() { caller, params }: AskedFor<typeof read>) {
    return readReturn(this.backoffice, caller, { areaId: params.id, returnId: params.returnId });
  }

  @Post('returns')
  @Endpoint(file)
  fileReturn(@Asked() { caller, params, body }: AskedFor<typeof file>) {
    return fileReturn(this.backoffice, caller, { ...body, areaId: params.id });
  }
}
