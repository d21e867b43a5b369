import { Controller, Get, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { readFieldCounts } from '#backoffice/field-count/read';
import { recordFieldCounts } from '#backoffice/field-count/record';
import { fieldCountsRecordedSchema, fieldCountsSchema, recordFieldCountsSchema } from '#contracts/field-count';
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
}
