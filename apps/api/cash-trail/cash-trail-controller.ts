import { Controller, Get, Inject, Post } from '@nestjs/common';
import { correctBag, listBags, recordBags, recordBagStep } from '#backoffice/cash-trail/bags';
import { createChangeFund, listChangeFunds } from '#backoffice/cash-trail/fund';
import { recordCashMove, recordStocktake, takeBackCashMove } from '#backoffice/cash-trail/move';
import { readCashGaps } from '#backoffice/cash-trail/open-gaps';
import { readCashTrail } from '#backoffice/cash-trail/trail';
import type { Backoffice } from '#backoffice/dependencies';
import {
  bagListQuerySchema,
  bagSchema,
  bagsSchema,
  cashGapsQuerySchema,
  cashGapsSchema,
  cashMoveSchema,
  cashTrailQuerySchema,
  cashTrailSchema,
  changeFundSchema,
  changeFundsSchema,
  correctBagSchema,
  createChangeFundSchema,
  recordBagsSchema,
  recordBagStepSchema,
  recordCashMoveSchema,
  recordStocktakeSchema,
  stocktakeSchema,
  takeBackCashMoveSchema,
} from '#contracts/cash-trail';
import { idParamsSchema } from '#contracts/format';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const trail = {
  access: 'cash-trail.read',
  summary: 'Follow the cash of a day from the boxes to the bank',
  description: 'Opening float + cash removed - cash handed, refunds and funds filled = what was to be brought; found = paid into the bank. Each gap is named with its holder. Collections that are not accepted are in no figure.',
  query: cashTrailQuerySchema,
  answer: cashTrailSchema,
} as const;
const gaps = { access: 'cash-trail.read', summary: 'List the gaps of cash that are still open over many days', query: cashGapsQuerySchema, answer: cashGapsSchema } as const;
const bags = { access: 'bag.read', summary: 'List the bags of a day with their seals', query: bagListQuerySchema, answer: bagsSchema } as const;
const addBags = {
  access: 'bag.handle',
  summary: 'Note the bags in which the cash of a collection left the site',
  params: idParamsSchema,
  body: recordBagsSchema,
  answer: bagsSchema,
  status: 201,
  once: true,
  problems: ['invalid-command', 'wrong-state', 'already-exists'],
} as const;
const bagStep = {
  access: 'bag.handle',
  summary: 'Note that a bag was received or opened, and the seal that was on it',
  params: idParamsSchema,
  body: recordBagStepSchema,
  answer: bagSchema,
  status: 201,
  once: true,
  problems: ['invalid-command', 'wrong-state', 'already-exists', 'second-person-needed'],
} as const;
const bagCorrection = {
  access: 'bag.correct',
  summary: 'Correct the number of a bag, its seal, or a seal that was found on it',
  description: 'What was entered stays legible. Somebody else than who entered it, filled the bag or collected there makes the correction.',
  params: idParamsSchema,
  body: correctBagSchema,
  answer: bagSchema,
  status: 201,
  once: true,
  problems: ['invalid-command', 'wrong-state', 'already-exists', 'second-person-needed'],
} as const;
const funds = { access: 'cash-trail.read', summary: 'List change funds with their balances', answer: changeFundsSchema } as const;
const addFund = {
  access: 'change-fund.create',
  summary: 'Set up a changer, tubes or a hopper as a change fund',
  body: createChangeFundSchema,
  answer: changeFundSchema,
  status: 201,
  once: true,
  problems: ['invalid-command', 'already-exists'],
} as const;
const move = {
  access: 'cash-move.record',
  summary: 'Record cash that went from one of your places to another',
  body: recordCashMoveSchema,
  answer: cashMoveSchema,
  status: 201,
  once: true,
  problems: ['invalid-command', 'already-exists', 'journal-closed'],
} as const;
const takeBack = {
  access: 'cash-move.record',
  summary: 'Take back a move of cash that was wrong',
  params: idParamsSchema,
  body: takeBackCashMoveSchema,
  answer: cashMoveSchema,
  once: true,
  problems: ['wrong-state', 'journal-closed'],
} as const;
const stocktake = {
  access: 'cash-move.record',
  summary: 'Count the cash of a place and book what is over or short',
  body: recordStocktakeSchema,
  answer: stocktakeSchema,
  status: 201,
  once: true,
  problems: ['invalid-command', 'already-exists', 'journal-closed'],
} as const;

@Controller('v1')
export class CashTrailController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get('cash-trail')
  @Endpoint(trail)
  trail(@Asked() { caller, query }: AskedFor<typeof trail>) {
    return readCashTrail(this.backoffice, caller, query);
  }

  @Get('cash-gaps')
  @Endpoint(gaps)
  gaps(@Asked() { caller, query }: AskedFor<typeof gaps>) {
    return readCashGaps(this.backoffice, caller, query);
  }

  @Get('bags')
  @Endpoint(bags)
  bags(@Asked() { caller, query }: AskedFor<typeof bags>) {
    return listBags(this.backoffice, caller, query);
  }

  @Post('collections/:id/bags')
  @Endpoint(addBags)
  addBags(@Asked() { caller, params, body }: AskedFor<typeof addBags>) {
    return recordBags(this.backoffice, caller, { collectionId: params.id, ...body });
  }

  @Post('bags/:id/steps')
  @Endpoint(bagStep)
  bagStep(@Asked() { caller, params, body }: AskedFor<typeof bagStep>) {
    return recordBagStep(this.backoffice, caller, { ...params, ...body });
  }

  @Post('bags/:id/corrections')
  @Endpoint(bagCorrection)
  correctBag(@Asked() { caller, params, body }: AskedFor<typeof bagCorrection>) {
    return correctBag(this.backoffice, caller, { bagId: params.id, ...body });
  }

  @Get('change-funds')
  @Endpoint(funds)
  funds(@Asked() { caller }: AskedFor<typeof funds>) {
    return listChangeFunds(this.backoffice, caller);
  }

  @Post('change-funds')
  @Endpoint(addFund)
  addFund(@Asked() { caller, body }: AskedFor<typeof addFund>) {
    return createChangeFund(this.backoffice, caller, body);
  }

  @Post('cash-moves')
  @Endpoint(move)
  recordMove(@Asked() { caller, body }: AskedFor<typeof move>) {
    return recordCashMove(this.backoffice, caller, body);
  }

  @Post('cash-moves/:id/taking-back')
  @Endpoint(takeBack)
  takeBackMove(@Asked() { caller, params, body }: AskedFor<typeof takeBack>) {
    return takeBackCashMove(this.backoffice, caller, { ...params, ...body });
  }

  @Post('cash-stocktakes')
  @Endpoint(stocktake)
  recordStocktake(@Asked() { caller, body }: AskedFor<typeof stocktake>) {
    return recordStocktake(this.backoffice, caller, body);
  }
}
