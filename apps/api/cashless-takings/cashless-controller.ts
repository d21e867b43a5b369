import { Controller, Get, Inject, Post } from '@nestjs/common';
import { correctCashless } from '#backoffice/cashless/correct';
import { listCashless } from '#backoffice/cashless/read';
import { recordCashless } from '#backoffice/cashless/record';
import { recordCashlessFile } from '#backoffice/cashless/record-file';
import type { Backoffice } from '#backoffice/dependencies';
import {
  cashlessFileQuerySchema,
  cashlessListQuerySchema,
  cashlessPageSchema,
  cashlessTakingSchema,
  correctCashlessSchema,
  recordCashlessSchema,
  recordedCashlessSchema,
} from '#contracts/cashless';
import { idParamsSchema } from '#contracts/format';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'cashless.read', summary: 'List card takings and their corrections, the latest day first', query: cashlessListQuerySchema, answer: cashlessPageSchema, problems: ['invalid-cursor'] } as const;
const record = {
  access: 'cashless.record',
  summary: 'Record what card readers reported',
  description:
    'All reports or none. They are in the books at once; one whose period is settled already is settled by difference. Reports that were recorded before under the same ids are passed over.',
  body: recordCashlessSchema,
  status: 201,
  answer: recordedCashlessSchema,
  once: true,
  problems: ['invalid-command', 'already-exists', 'no-agreement'],
} as const;
const recordFile = {
  access: 'cashless.record',
  summary: 'Record a file of card takings by day',
  description:
    'UTF-8, with or without byte order mark, comma or semicolon. The first line names the columns: machine, day and gross are needed; refunded and ' +
    'currency may be there. All lines are recorded, or none: errors name line and column. The same file again records nothing twice.',
  query: cashlessFileQuerySchema,
  upload: { mediaType: 'text/csv', limitBytes: 8 * 1024 * 1024 },
  status: 201,
  answer: recordedCashlessSchema,
  once: true,
  problems: ['file-not-readable', 'invalid-command', 'already-exists', 'no-agreement'],
} as const;
const correct = {
  access: 'cashless.correct',
  summary: 'Correct what a card reader reported',
  description: 'The first figure stays legible. Somebody else than who recorded it makes the correction.',
  params: idParamsSchema,
  body: correctCashlessSchema,
  status: 201,
  answer: cashlessTakingSchema,
  once: true,
  problems: ['invalid-command', 'already-exists', 'no-agreement', 'wrong-state', 'second-person-needed', 'changed-meanwhile'],
} as const;

@Controller('v1/cashless-takings')
export class CashlessController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listCashless(this.backoffice, caller, query);
  }

  @Post()
  @Endpoint(record)
  record(@Asked() { caller, body }: AskedFor<typeof record>) {
    return recordCashless(this.backoffice, caller, body);
  }

  @Post('file')
  @Endpoint(recordFile)
  recordFile(@Asked() { caller, query, body }: AskedFor<typeof recordFile>) {
    return recordCashlessFile(this.backoffice, caller, { ...query, bytes: body });
  }

  @Post(':id/corrections')
  @Endpoint(correct)
  correct(@Asked() { caller, params, body }: AskedFor<typeof correct>) {
    return correctCashless(this.backoffice, caller, { ...body, cashlessId: params.id });
  }
}
