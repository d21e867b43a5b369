import { Controller, Get, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { listJournalAccounts, readChart } from '#backoffice/journal/accounts';
import { listJournalEntries } from '#backoffice/journal/entries';
import { exportJournal } from '#backoffice/journal/export';
import { closeJournal, readJournalPeriods, reopenJournal } from '#backoffice/journal/period';
import { readTrialBalance } from '#backoffice/journal/trial-balance';
import {
  chartOfAccountsSchema,
  closeJournalSchema,
  journalAccountPageSchema,
  journalAccountQuerySchema,
  journalEntryPageSchema,
  journalEntryQuerySchema,
  journalExportQuerySchema,
  journalPeriodsSchema,
  reopenJournalSchema,
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

const periods = { access: 'journal.read', summary: 'Show through which day the journal is closed', answer: journalPeriodsSchema } as const;
const close = {
  access: 'journal.close',
  summary: 'Close the journal through the end of a month',
  description: 'Nothing is posted with a day in it until it is reopened.',
  body: closeJournalSchema,
  answer: journalPeriodsSchema,
  once: true,
  problems: ['invalid-command', 'busy'],
} as const;
const reopen = { ...close, summary: 'Reopen the journal from the beginning of a month', description: 'What lies before the month stays closed.', body: reopenJournalSchema } as const;

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

  @Get('periods')
  @Endpoint(periods)
  periods(@Asked() { caller }: AskedFor<typeof periods>) {
    return readJournalPeriods(this.backoffice, caller);
  }

  @Post('close')
  @Endpoint(close)
  close(@Asked() { caller, body }: AskedFor<typeof close>) {
    return closeJournal(this.backoffice, caller, body);
  }

  @Post('reopen')
  @Endpoint(reopen)
  reopen(@Asked() { caller, body }: AskedFor<typeof reopen>) {
    return reopenJournal(this.backoffice, caller, body);
  }
}
