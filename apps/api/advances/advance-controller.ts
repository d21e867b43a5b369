import { Controller, Get, Inject, Post } from '@nestjs/common';
import { giveAdvance } from '#backoffice/advance/give';
import { listAdvances, readOneAdvance } from '#backoffice/advance/read';
import { payBackAdvance, undoAdvanceReduction, writeOffAdvance } from '#backoffice/advance/take-down';
import type { Backoffice } from '#backoffice/dependencies';
import { advanceListQuerySchema, advancePageSchema, advanceSchema, giveAdvanceSchema, payBackAdvanceSchema, undoReductionSchema, writeOffAdvanceSchema } from '#contracts/advance';
import { idParamsSchema } from '#contracts/format';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'advance.read', summary: 'List advances, newest first', query: advanceListQuerySchema, answer: advancePageSchema, problems: ['invalid-cursor'] } as const;
const one = { access: 'advance.read', summary: 'Show an advance with everything that worked it off', params: idParamsSchema, answer: advanceSchema } as const;
const give = {
  access: 'advance.give',
  summary: 'Give a payee an advance',
  description: 'Settlements of periods that end after it keep it back from the share as the terms say. Refused where the law of the place allows no advances.',
  body: giveAdvanceSchema,
  answer: advanceSchema,
  status: 201,
  once: true,
  problems: ['invalid-command', 'already-exists', 'journal-closed', 'busy'],
} as const;
const payBack = {
  access: 'advance.pay-back',
  summary: 'Note that a payee paid an advance back',
  description: 'Outside a settlement, in part or whole.',
  params: idParamsSchema,
  body: payBackAdvanceSchema,
  answer: advanceSchema,
  once: true,
  problems: ['invalid-command', 'wrong-state', 'journal-closed', 'busy'],
} as const;
const writeOff = {
  ...payBack,
  access: 'advance.write-off',
  summary: 'Write off what is open of an advance',
  description: 'The rest is given up and posted to an account of its own; the advance is closed by that.',
  body: writeOffAdvanceSchema,
} as const;

const undo = {
  ...payBack,
  access: 'advance.undo',
  summary: 'Undo what was paid back or written off by mistake',
  description: 'A step of its own with the opposite amount; what it undoes stays on record.',
  body: undoReductionSchema,
} as const;

@Controller('v1/advances')
export class AdvanceController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listAdvances(this.backoffice, caller, query);
  }

  @Get(':id')
  @Endpoint(one)
  one(@Asked() { caller, params }: AskedFor<typeof one>) {
    return readOneAdvance(this.backoffice, caller, params.id);
  }

  @Post()
  @Endpoint(give)
  give(@Asked() { caller, body }: AskedFor<typeof give>) {
    return giveAdvance(this.backoffice, caller, body);
  }

  @Post(':id/pay-back')
  @Endpoint(payBack)
  payBackAdvance(@Asked() { caller, params, body }: AskedFor<typeof payBack>) {
    return payBackAdvance(this.backoffice, caller, { ...params, ...body });
  }

  @Post(':id/write-off')
  @Endpoint(writeOff)
  writeOffAdvance(@Asked() { caller, params, body }: AskedFor<typeof writeOff>) {
    return writeOffAdvance(this.backoffice, caller, { ...params, ...body });
  }

  @Post(':id/undo')
  @Endpoint(undo)
  undo(@Asked() { caller, params, body }: AskedFor<typeof undo>) {
    return undoAdvanceReduction(this.backoffice, caller, { ...params, ...body });
  }
}
