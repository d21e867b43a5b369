import { Controller, Get, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { correctFieldCount } from '#backoffice/field-count/correct';
import { readFieldCounts } from '#backoffice/field-count/read';
import { recordFieldCounts } from '#backoffice/field-count/record';
import { correctFieldCountSchema, fieldCountsRecordedSchema, fieldCountsSchema, recordFieldCountsSchema } from '#contracts/field-count';
import { idParamsSchema } from '#contracts/format';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const read = {
  access: 'field-count.read',
  summary: 'Compare what was counted at the machines with what the counting room found',
  description: 'Once the collection is accepted. Before that nobody is shown it, so that the room counts blind.',
  params: idParamsSchema,
  answer: fieldCountsSchema,
  problems: ['not-allowed-in-state'],
} as const;
const record = {
  access: 'collection.count',
  summary: 'Enter what was counted at the machines of an open collection',
  description: 'The counting room counts the same boxes afterwards, and its figures settle.',
  params: idParamsSchema,
  body: recordFieldCountsSchema,
  answer: fieldCountsRecordedSchema,
  once: true,
  problems: ['invalid-command', 'already-exists', 'no-agreement', 'not-allowed-in-state'],
} as const;

const correct = {
  access: 'collection.correct',
  summary: 'Correct what was counted at a machine',
  description: 'Once the collection is accepted. The first figure stays legible; somebody who neither counted nor entered it makes the correction.',
  params: idParamsSchema,
  body: correctFieldCountSchema,
  answer: fieldCountsSchema,
  once: true,
  problems: ['invalid-command', 'already-exists', 'no-agreement', 'wrong-state', 'not-allowed-in-state', 'second-person-needed', 'changed-meanwhile'],
} as const;

@Controller('v1/collections')
export class FieldCountController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get(':id/field-counts')
  @Endpoint(read)
  read(@Asked() { caller, params }: AskedFor<typeof read>) {
    return readFieldCounts(this.backoffice, caller, { collectionId: params.id });
  }

  @Post(':id/field-counts')
  @Endpoint(record)
  record(@Asked() { caller, params, body }: AskedFor<typeof record>) {
    return recordFieldCounts(this.backoffice, caller, { collectionId: params.id, ...body });
  }

  @Post(':id/field-count-corrections')
  @Endpoint(correct)
  correct(@Asked() { caller, params, body }: AskedFor<typeof correct>) {
    return correctFieldCount(this.backoffice, caller, { collectionId: params.id, ...body });
  }
}
