import { Controller, Get, Inject } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { exportSiteAccount, readSiteAccount } from '#backoffice/site-account/read';
import { idParamsSchema } from '#contracts/format';
import { siteAccountQuerySchema, siteAccountSchema } from '#contracts/site-account';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const account = {
  access: 'site-account.read',
  summary: 'Show the statement of account of a site at a day',
  description: 'Per agreement and payee: opening balance, every entry with the balance after it, closing balance, and the open items by age.',
  params: idParamsSchema,
  query: siteAccountQuerySchema,
  answer: siteAccountSchema,
} as const;
const exported = {
  access: 'site-account.read',
  summary: 'Download the statement of account of a site as CSV',
  params: idParamsSchema,
  query: siteAccountQuerySchema,
  file: 'text/csv; charset=utf-8',
} as const;

@Controller('v1/sites/:id/account')
export class SiteAccountController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(account)
  read(@Asked() { caller, params, query }: AskedFor<typeof account>) {
    return readSiteAccount(this.backoffice, caller, { ...query, id: params.id });
  }

  @Get('export')
  @Endpoint(exported)
  exported(@Asked() { caller, params, query }: AskedFor<typeof exported>) {
    return exportSiteAccount(this.backoffice, caller, { ...query, id: params.id });
  }
}
