import { Controller, Get, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { listCoinSets } from '#backoffice/scale-check/coin-set';
import { listScaleChecks, recordScaleCheck } from '#backoffice/scale-check/scale-check';
import { coinSetQuerySchema, coinSetsSchema, recordScaleCheckSchema, scaleCheckListQuerySchema, scaleCheckPageSchema, scaleCheckSchema } from '#contracts/tally';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const coins = {
  access: 'scale-check.read',
  summary: 'List the coins and notes that boxes hold',
  description: 'With the weight of a piece where coins are counted by weight, and where it was read.',
  query: coinSetQuerySchema,
  answer: coinSetsSchema,
} as const;
const list = { access: 'scale-check.read', summary: 'List checks of scales, newest first', query: scaleCheckListQuerySchema, answer: scaleCheckPageSchema, problems: ['invalid-cursor'] } as const;
const record = {
  access: 'scale-check.record',
  summary: 'Note what a scale showed for a known weight',
  description: 'Before coins are counted by weight. A check serves the counts of the 24 hours after it.',
  body: recordScaleCheckSchema,
  answer: scaleCheckSchema,
  status: 201,
  once: true,
  problems: ['invalid-command', 'already-exists'],
} as const;

@Controller('v1')
export class ScaleCheckController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get('coin-sets')
  @Endpoint(coins)
  coins(@Asked() { caller, query }: AskedFor<typeof coins>) {
    return listCoinSets(this.backoffice, caller, query);
  }

  @Get('scale-checks')
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listScaleChecks(this.backoffice, caller, query);
  }

  @Post('scale-checks')
  @Endpoint(record)
  record(@Asked() { caller, body }: AskedFor<typeof record>) {
    return recordScaleCheck(this.backoffice, caller, body);
  }
}
