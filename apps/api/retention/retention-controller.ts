import { Controller, Get, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { decideRetention, liftHold, placeHold } from '#backoffice/retention/decide';
import { previewRetention, readRetention } from '#backoffice/retention/read';
import { idParamsSchema } from '#contracts/format';
import { decideRetentionSchema, liftHoldSchema, placeHoldSchema, retentionPreviewQuerySchema, retentionPreviewSchema, retentionSchema } from '#contracts/retention';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const read = {
  access: 'retention.read',
  summary: 'Show for how long each kind of record is kept, and what was removed',
  description: 'Settlements, statements, journal, collections, counts, readings, custody and evidence are kept for as long as the operator exists.',
  answer: retentionSchema,
} as const;
const preview = { access: 'retention.read', summary: 'Show what would be removed tonight', query: retentionPreviewQuerySchema, answer: retentionPreviewSchema } as const;
const decide = {
  access: 'retention.decide',
  summary: 'Decide for how long records of a kind are kept',
  description: 'Never shorter than the law of the country of the operator asks for. What is older goes from the coming night on, and does not come back. What the law speaks of stays until an owner has decided once.',
  body: decideRetentionSchema,
  answer: retentionSchema,
  status: 201,
  once: true,
  problems: ['invalid-command', 'already-exists'],
} as const;
const place = {
  access: 'retention.hold',
  summary: 'Keep everything until further notice',
  description: 'While a hold stands nothing is removed and nobody\'s data is erased: a dispute, an audit, a lawsuit.',
  body: placeHoldSchema,
  answer: retentionSchema,
  status: 201,
  once: true,
  problems: ['already-exists'],
} as const;
const lift = { access: 'retention.hold', summary: 'Lift a hold', params: idParamsSchema, body: liftHoldSchema, answer: retentionSchema, once: true, problems: ['wrong-state'] } as const;

@Controller('v1/retention')
export class RetentionController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(read)
  read(@Asked() { caller }: AskedFor<typeof read>) {
    return readRetention(this.backoffice, caller);
  }

  @Get('preview')
  @Endpoint(preview)
  preview(@Asked() { caller, query }: AskedFor<typeof preview>) {
    return previewRetention(this.backoffice, caller, query);
  }

  @Post()
  @Endpoint(decide)
  decide(@Asked() { caller, body }: AskedFor<typeof decide>) {
    return decideRetention(this.backoffice, caller, body);
  }

  @Post('holds')
  @Endpoint(place)
  place(@Asked() { caller, body }: AskedFor<typeof place>) {
    return placeHold(this.backoffice, caller, body);
  }

  @Post('holds/:id/lift')
  @Endpoint(lift)
  lift(@Asked() { caller, params, body }: AskedFor<typeof lift>) {
    return liftHold(this.backoffice, caller, { id: params.id, ...body });
  }
}
