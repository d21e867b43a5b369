import { Controller, Get, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { overrideFlags, recomputeSettlement, reopenSettlement, reviewSettlement } from '#backoffice/settlement/change';
import { previewSettlement } from '#backoffice/settlement/preview';
import { listSettlements, readSettlement } from '#backoffice/settlement/read';
import { reverseSettlement } from '#backoffice/settlement/reverse';
import { readStatement } from '#backoffice/statement/read';
import { idParamsSchema } from '#contracts/format';
import {
  previewSettlementSchema,
  reopenSettlementSchema,
  reverseSettlementSchema,
  settlementListQuerySchema,
  settlementPageSchema,
  settlementPreviewSchema,
  settlementSchema,
} from '#contracts/settlement';
import { overrideFlagsSchema } from '#contracts/variance';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'settlement.read', summary: 'List settlements, newest period first', query: settlementListQuerySchema, answer: settlementPageSchema, problems: ['invalid-cursor'] } as const;
const one = {
  access: 'settlement.read',
  summary: 'Show a settlement, every figure with its reason',
  params: idParamsSchema,
  answer: settlementSchema,
  revision: 'shown',
} as const;
const preview = {
  access: 'settlement.preview',
  summary: 'Compute what a settlement would say now, without storing it',
  body: previewSettlementSchema,
  answer: settlementPreviewSchema,
  problems: ['invalid-command', 'cannot-be-settled'],
} as const;
const review = {
  access: 'settlement.review',
  summary: 'Review a draft',
  params: idParamsSchema,
  answer: settlementSchema,
  revision: 'needed',
  once: true,
  problems: ['wrong-state', 'draft-is-stale', 'cannot-be-settled', 'flags-open'],
} as const;
const reopen = {
  access: 'settlement.reopen',
  summary: 'Take a review back',
  params: idParamsSchema,
  body: reopenSettlementSchema,
  answer: settlementSchema,
  revision: 'shown',
  once: true,
  problems: ['wrong-state'],
} as const;
const override = {
  access: 'settlement.override-flags',
  summary: 'Let a settlement be reviewed although differences of counts are not explained',
  description: 'The reason is kept in the history of the settlement. Flags that are raised later need it again.',
  params: idParamsSchema,
  body: overrideFlagsSchema,
  answer: settlementSchema,
  revision: 'shown',
  once: true,
  problems: ['wrong-state'],
} as const;
const recompute = {
  access: 'settlement.recompute',
  summary: 'Compute a draft again from what is known now',
  params: idParamsSchema,
  answer: settlementSchema,
  revision: 'shown',
  once: true,
  problems: ['wrong-state', 'cannot-be-settled'],
} as const;
const reversal = {
  access: 'settlement.reverse',
  summary: 'Take back the latest issued settlement of an agreement, so that its period is settled anew',
  params: idParamsSchema,
  body: reverseSettlementSchema,
  answer: settlementSchema,
  revision: 'shown',
  once: true,
  problems: ['wrong-state', 'reversed-already', 'later-settlement-stands', 'settlement-paid'],
} as const;
const statement = {
  access: 'statement.read',
  summary: 'Download the signed statement',
  params: idParamsSchema,
  file: 'application/pdf',
  problems: ['statement-not-issued', 'statement-in-preparation'],
} as const;

@Controller('v1/settlements')
export class SettlementController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listSettlements(this.backoffice, caller, query);
  }

  @Post('preview')
  @Endpoint(preview)
  preview(@Asked() { caller, body }: AskedFor<typeof preview>) {
    return previewSettlement(this.backoffice, caller, body);
  }

  @Get(':id')
  @Endpoint(one)
  one(@Asked() { caller, params }: AskedFor<typeof one>) {
    return readSettlement(this.backoffice, caller, params.id);
  }

  @Post(':id/review')
  @Endpoint(review)
  review(@Asked() { caller, params, expectedRevision }: AskedFor<typeof review>) {
    return reviewSettlement(this.backoffice, caller, { ...params, expectedRevision });
  }

  @Post(':id/reopen')
  @Endpoint(reopen)
  reopen(@Asked() { caller, params, body }: AskedFor<typeof reopen>) {
    return reopenSettlement(this.backoffice, caller, { ...params, ...body });
  }

  @Post(':id/flag-override')
  @Endpoint(override)
  override(@Asked() { caller, params, body }: AskedFor<typeof override>) {
    return overrideFlags(this.backoffice, caller, { ...params, ...body });
  }

  @Post(':id/recompute')
  @Endpoint(recompute)
  recompute(@Asked() { caller, params }: AskedFor<typeof recompute>) {
    return recomputeSettlement(this.backoffice, caller, params);
  }

  @Post(':id/reversal')
  @Endpoint(reversal)
  reverse(@Asked() { caller, params, body }: AskedFor<typeof reversal>) {
    return reverseSettlement(this.backoffice, caller, { ...params, ...body });
  }

  @Get(':id/statement')
  @Endpoint(statement)
  statement(@Asked() { caller, params }: AskedFor<typeof statement>) {
    return readStatement(this.backoffice, caller, params.id);
  }
}
