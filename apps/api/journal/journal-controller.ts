import { Controller, Get, Inject } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { exportJournal } from '#backoffice/journal/export';
import { readTrialBalance } from '#backoffice/journal/trial-balance';
import { journalExportQuerySchema, trialBalanceQuerySchema, trialBalanceSchema } from '#contracts/journal';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const balance = { access: 'journal.read', summary: 'Show the trial balance at a day', query: trialBalanceQuerySchema, answer: trialBalanceSchema } as const;
const exported = {
  access: 'journal.read',
  summary: 'Download the journal of some days',
  query: journalExportQuerySchema,
  file: 'text/plain; charset=utf-8',
} as const;

@Controller('v1/journal')
export class JournalController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get('trial-balance')
  @Endpoint(balance)
  balance(@Asked() { caller, query }: AskedFor<typeof balance>) {
    return readTrialBalance(this.backoffice, caller, query.on);
  }

  @Get('export')
  @Endpoint(exported)
  exported(@Asked() { caller, query }: AskedFor<typeof exported>) {
    return exportJournal(this.backoffice, caller, query);
  }
}
