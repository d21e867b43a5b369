import { Controller, Get, Inject, Patch, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { listCollectionsDue, setRhythm } from '#backoffice/round/due';
import { readOwnStops, readSiteBoxes } from '#backoffice/round/own-stops';
import { cancelRound, changeRound, listRounds, planRound, readRound } from '#backoffice/round/round';
import { idParamsSchema } from '#contracts/format';
import {
  cancelRoundSchema,
  changeRoundSchema,
  collectionsDueSchema,
  ownStopsSchema,
  planRoundSchema,
  rhythmSchema,
  roundListQuerySchema,
  roundPageSchema,
  roundSchema,
  setRhythmSchema,
  siteBoxesQuerySchema,
  siteBoxesSchema,
} from '#contracts/round';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'round.read', summary: 'List rounds, the latest day first', query: roundListQuerySchema, answer: roundPageSchema, problems: ['invalid-cursor'] } as const;
const read = { access: 'round.read', summary: 'Show a round', params: idParamsSchema, answer: roundSchema, revision: 'shown' } as const;
const plan = { access: 'round.plan', summary: 'Plan a round', body: planRoundSchema, answer: roundSchema, status: 201, once: true, revision: 'shown', problems: ['invalid-command', 'already-exists'] } as const;
const change = { access: 'round.plan', summary: 'Change a round', params: idParamsSchema, body: changeRoundSchema, answer: roundSchema, revision: 'needed', problems: ['invalid-command', 'wrong-state'] } as const;
const cancel = { access: 'round.plan', summary: 'Call a round off', params: idParamsSchema, body: cancelRoundSchema, answer: roundSchema, once: true, revision: 'shown', problems: ['wrong-state'] } as const;
const due = { access: 'collection-due.read', summary: 'List when each site is to be visited, overdue ones first', answer: collectionsDueSchema } as const;
const rhythm = { access: 'collection-rhythm.set', summary: 'Say how often a site is to be visited', params: idParamsSchema, body: setRhythmSchema, answer: rhythmSchema, once: true, problems: ['invalid-command'] } as const;
const boxes = { access: 'site-boxes.read', summary: 'List the boxes, meters and tokens of a site that a visit has to count', params: idParamsSchema, query: siteBoxesQuerySchema, answer: siteBoxesSchema } as const;
const ownStops = { access: 'own-stops.read', summary: 'List your own stops of today, for a phone to keep', answer: ownStopsSchema } as const;

@Controller('v1')
export class RoundController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get('rounds')
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listRounds(this.backoffice, caller, query);
  }

  @Get('rounds/:id')
  @Endpoint(read)
  read(@Asked() { caller, params }: AskedFor<typeof read>) {
    return readRound(this.backoffice, caller, params);
  }

  @Post('rounds')
  @Endpoint(plan)
  plan(@Asked() { caller, body }: AskedFor<typeof plan>) {
    return planRound(this.backoffice, caller, body);
  }

  @Patch('rounds/:id')
  @Endpoint(change)
  change(@Asked() { caller, params, body, expectedRevision }: AskedFor<typeof change>) {
    return changeRound(this.backoffice, caller, { ...body, id: params.id, expectedRevision });
  }

  @Post('rounds/:id/cancel')
  @Endpoint(cancel)
  cancel(@Asked() { caller, params, body }: AskedFor<typeof cancel>) {
    return cancelRound(this.backoffice, caller, { ...body, id: params.id });
  }

  @Get('collections-due')
  @Endpoint(due)
  due(@Asked() { caller }: AskedFor<typeof due>) {
    return listCollectionsDue(this.backoffice, caller);
  }

  @Post('sites/:id/collection-rhythm')
  @Endpoint(rhythm)
  rhythm(@Asked() { caller, params, body }: AskedFor<typeof rhythm>) {
    return setRhythm(this.backoffice, caller, { ...body, siteId: params.id });
  }

  @Get('sites/:id/boxes')
  @Endpoint(boxes)
  boxes(@Asked() { caller, params, query }: AskedFor<typeof boxes>) {
    return readSiteBoxes(this.backoffice, caller, { ...query, siteId: params.id });
  }

  @Get('own-stops')
  @Endpoint(ownStops)
  ownStops(@Asked() { caller }: AskedFor<typeof ownStops>) {
    return readOwnStops(this.backoffice, caller);
  }
}
