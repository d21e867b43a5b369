import { Controller, Get, Inject } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { listJournalAccounts, readChart } from '#backoffice/journal/accounts';
import { listJournalEntries } from '#backoffice/journal/entries';
import { exportJournal } from '#backoffice/journal/export';
import { readTrialBalance } from '#backoffice/journal/trial-balance';
import {
  chartOfAccountsSchema,
  journalAccountPageSchema,
  journalAccountQuerySchema,
  journalEntryPageSchema,
  journalEntryQuerySchema,
  journalExportQuerySchema,
  trialBalanceQuerySchema,
  trialBalanceSchema,
} from '#contracts/journal';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const balance = { access: 'journal.read', summary: 'Show the trial balance at a day', query: trialBalanceQuerySchema, answer: trialBalanceSchema } as const;
const chart = { access: 'journal.read', summary: 'Show the chart of accounts', answer: chartOfAccountsSchema } as const;
const accounts = { access: 'journal.read', summary: 'List the accounts that have postings', query: journalAccountQuerySchema, answer: journalAccountPageSchema } as const;
const entries = { access: 'journal.read', summary: 'List journal entries', query: journalEntryQuerySchema, answer: journalEntryPageSchema } as const;
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
    return readTrialBalance(this.backoffice, caller, query);
  }

  @Get('chart')
  @Endpoint(chart)
  chart(@Asked() { caller }: AskedFor<typeof chart>) {
    return readChart(this.backoffice, caller);
  }

  @Get('accounts')
  @Endpoint(accounts)
  accounts(@Asked() { caller, query }: AskedFor<typeof accounts>) {
    return listJournalAccounts(this.backoffice, caller, query);
  }

  @Get('entries')
  @Endpoint(entries)
  entries(@Asked() { caller, query }: AskedFor<typeof entries>) {
    return listJournalEntries(this.backoffice, caller, query);
  }

  @Get('export')
  @Endpoint(exported)
  exported(@Asked() { caller, query }: AskedFor<typeof exported>) {
    return exportJournal(this.backoffice, caller, query);
  }
}
