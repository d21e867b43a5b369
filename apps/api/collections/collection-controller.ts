import { Controller, Get, Inject, Post } from '@nestjs/common';
import { acceptCollection, acceptSeveral } from '#backoffice/collection/accept';
import { addCounts } from '#backoffice/collection/add-counts';
import { correctCount } from '#backoffice/collection/correct';
import { correctHanded } from '#backoffice/collection/correct-handed';
import { correctSlip } from '#backoffice/collection/correct-slip';
import { createCollection } from '#backoffice/collection/create';
import { discardCollection } from '#backoffice/collection/discard';
import { enterLateCount, listUncountedBoxes } from '#backoffice/collection/late-count';
import { enterMetered } from '#backoffice/collection/metered';
import { listCollections, readCollection } from '#backoffice/collection/read';
import type { Backoffice } from '#backoffice/dependencies';
import {
  acceptCollectionsSchema,
  acceptedCollectionsSchema,
  addCountsSchema,
  collectionListQuerySchema,
  collectionPageSchema,
  collectionSchema,
  correctCountSchema,
  correctHandedSchema,
  correctSlipSchema,
  createCollectionSchema,
  discardCollectionSchema,
  enterLateCountSchema,
  enterMeteredSchema,
  uncountedBoxesSchema,
  uncountedBoxListQuerySchema,
} from '#contracts/collection';
import { idParamsSchema } from '#contracts/format';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'collection.read', summary: 'List the collections, the latest visit first', query: collectionListQuerySchema, answer: collectionPageSchema, problems: ['invalid-cursor'] } as const;
const read = { access: 'collection.read', summary: 'Read a collection', params: idParamsSchema, answer: collectionSchema, revision: 'shown', problems: ['not-allowed-in-state', 'being-counted'] } as const;
const create = {
  access: 'collection.create',
  summary: 'Record a collection',
  description: 'A visit to one site, with its counts or open for them. Counted cash includes what was handed out before bagging.',
  body: createCollectionSchema,
  status: 201,
  answer: collectionSchema,
  once: true,
  revision: 'shown',
  problems: ['invalid-command', 'already-exists', 'no-agreement'],
} as const;
const count = {
  access: 'collection.count',
  summary: 'Enter the counts of an open collection',
  description: 'Of one that is counted and waits, the office adds boxes and parts of which nothing was entered yet; 0 for a box whose bag did not come.',
  params: idParamsSchema,
  body: addCountsSchema,
  answer: collectionSchema,
  once: true,
  revision: 'shown',
  problems: ['invalid-command', 'already-exists', 'no-agreement', 'not-allowed-in-state'],
} as const;
const meter = {
  access: 'collection.meter',
  summary: 'Enter what meters imply that are not recorded',
  description: 'Where the terms go by the meters. Apart from the counts, and by somebody else than who counted: in the counting room nobody sees it. Until acceptance the latest amount of a machine counts.',
  params: idParamsSchema,
  body: enterMeteredSchema,
  answer: collectionSchema,
  once: true,
  revision: 'shown',
  problems: ['invalid-command', 'not-allowed-in-state', 'second-person-needed'],
} as const;
const accept = {
  access: 'collection.accept',
  summary: 'Accept a counted collection',
  description: 'It enters the books and does not change any more. One that comes after its period was settled is settled by difference.',
  params: idParamsSchema,
  answer: collectionSchema,
  once: true,
  revision: 'shown',
  problems: ['no-agreement', 'wrong-state', 'journal-closed', 'not-allowed-in-state', 'changed-meanwhile'],
} as const;
const acceptMany = {
  access: 'collection.accept',
  summary: 'Accept several counted collections, all or none',
  body: acceptCollectionsSchema,
  answer: acceptedCollectionsSchema,
  once: true,
  problems: ['not-found', 'no-agreement', 'wrong-state', 'journal-closed', 'not-allowed-in-state', 'changed-meanwhile'],
} as const;
const discard = {
  access: 'collection.discard',
  summary: 'Discard a collection that was entered by mistake',
  description: 'Before acceptance, as a whole: counts, readings, slips, cash handed out and bags no longer count, and stay legible. Somebody who entered none of it does so. The visit may be entered anew.',
  params: idParamsSchema,
  body: discardCollectionSchema,
  answer: collectionSchema,
  once: true,
  revision: 'shown',
  problems: ['wrong-state', 'not-allowed-in-state', 'second-person-needed', 'journal-closed', 'changed-meanwhile'],
} as const;
const correct = {
  access: 'collection.correct',
  summary: 'Correct a count',
  description: 'The first figure stays legible. After acceptance somebody else than who recorded it makes the correction.',
  params: idParamsSchema,
  body: correctCountSchema,
  answer: collectionSchema,
  once: true,
  revision: 'shown',
  problems: ['invalid-command', 'already-exists', 'no-agreement', 'wrong-state', 'not-allowed-in-state', 'second-person-needed', 'changed-meanwhile'],
} as const;
const countLate = {
  access: 'collection.count-late',
  summary: 'Enter the count of a box that was forgotten',
  description: 'Of a box that was opened at an accepted collection and not counted, see /v1/uncounted-boxes. It is booked, compared with the meters, and settled by difference where its period is settled. Somebody else than who accepted the collection enters it.',
  params: idParamsSchema,
  body: enterLateCountSchema,
  answer: collectionSchema,
  status: 201,
  once: true,
  revision: 'shown',
  problems: ['invalid-command', 'already-exists', 'no-agreement', 'not-allowed-in-state', 'second-person-needed', 'changed-meanwhile'],
} as const;
const correctSlipOf = {
  ...correct,
  summary: 'Correct a refund slip',
  description: 'The first slip stays legible. After acceptance somebody else than who recorded it makes the correction; in a settled period it is settled by difference.',
  body: correctSlipSchema,
} as const;
const correctHandedOf = {
  ...correct,
  summary: 'Correct cash that was handed over',
  description: 'The first amount stays legible. After acceptance somebody else than who recorded it makes the correction; what was set off already is set off by the difference.',
  body: correctHandedSchema,
} as const;

@Controller('v1/collections')
export class CollectionController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listCollections(this.backoffice, caller, query);
  }

  @Get(':id')
  @Endpoint(read)
  read(@Asked() { caller, params }: AskedFor<typeof read>) {
    return readCollection(this.backoffice, caller, params);
  }

  @Post()
  @Endpoint(create)
  create(@Asked() { caller, body }: AskedFor<typeof create>) {
    return createCollection(this.backoffice, caller, body);
  }

  @Post('accept')
  @Endpoint(acceptMany)
  acceptMany(@Asked() { caller, body }: AskedFor<typeof acceptMany>) {
    return acceptSeveral(this.backoffice, caller, body);
  }

  @Post(':id/counts')
  @Endpoint(count)
  count(@Asked() { caller, params, body }: AskedFor<typeof count>) {
    return addCounts(this.backoffice, caller, { ...body, collectionId: params.id });
  }

  @Post(':id/metered-amounts')
  @Endpoint(meter)
  meter(@Asked() { caller, params, body }: AskedFor<typeof meter>) {
    return enterMetered(this.backoffice, caller, { ...body, collectionId: params.id });
  }

  @Post(':id/accept')
  @Endpoint(accept)
  accept(@Asked() { caller, params }: AskedFor<typeof accept>) {
    return acceptCollection(this.backoffice, caller, params);
  }

  @Post(':id/discard')
  @Endpoint(discard)
  discard(@Asked() { caller, params, body }: AskedFor<typeof discard>) {
    return discardCollection(this.backoffice, caller, { ...params, ...body });
  }

  @Post(':id/corrections')
  @Endpoint(correct)
  correct(@Asked() { caller, params, body }: AskedFor<typeof correct>) {
    return correctCount(this.backoffice, caller, { ...body, collectionId: params.id });
  }

  @Post(':id/late-counts')
  @Endpoint(countLate)
  countLate(@Asked() { caller, params, body }: AskedFor<typeof countLate>) {
    return enterLateCount(this.backoffice, caller, { ...body, collectionId: params.id });
  }

  @Post(':id/refund-slip-corrections')
  @Endpoint(correctSlipOf)
  correctSlip(@Asked() { caller, params, body }: AskedFor<typeof correctSlipOf>) {
    return correctSlip(this.backoffice, caller, { ...body, collectionId: params.id });
  }

  @Post(':id/cash-handed-corrections')
  @Endpoint(correctHandedOf)
  correctHanded(@Asked() { caller, params, body }: AskedFor<typeof correctHandedOf>) {
    return correctHanded(this.backoffice, caller, { ...body, collectionId: params.id });
  }
}

const uncounted = {
  access: 'uncounted-box.read',
  summary: 'List boxes that were opened and never counted',
  description: 'At collections that were accepted without a count of them: what their meters counted up to then is compared with no cash. Enter what was in them, or take the readings back where the box was not opened.',
  query: uncountedBoxListQuerySchema,
  answer: uncountedBoxesSchema,
} as const;

@Controller('v1/uncounted-boxes')
export class UncountedBoxController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(uncounted)
  list(@Asked() { caller, query }: AskedFor<typeof uncounted>) {
    return listUncountedBoxes(this.backoffice, caller, query);
  }
}
