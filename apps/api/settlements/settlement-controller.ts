import { Controller, Get, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { overrideFlags, recomputeSettlement, reopenSettlement, reviewSettlement } from '#backoffice/settlement/change';
import { answerSettlement, holdSettlement, questionSettlement, releaseSettlement } from '#backoffice/settlement/notes';
import { previewSettlement } from '#backoffice/settlement/preview';
import { listSettlements, readSettlement } from '#backoffice/settlement/read';
import { reverseSettlement } from '#backoffice/settlement/reverse';
import { readStatement } from '#backoffice/statement/read';
import { idParamsSchema } from '#contracts/format';
import {
  noteOnSettlementSchema,
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
  spoken: true,
  revision: 'shown',
  problems: ['being-counted'],
} as const;
const preview = {
  access: 'settlement.preview',
  summary: 'Compute what a settlement would say now, without storing it',
  body: previewSettlementSchema,
  answer: settlementPreviewSchema,
  spoken: true,
  problems: ['being-counted', 'invalid-command', 'cannot-be-settled'],
} as const;
const review = {
  access: 'settlement.review',
  summary: 'Review a draft',
  params: idParamsSchema,
  answer: settlementSchema,
  spoken: true,
  revision: 'needed',
  once: true,
  problems: ['being-counted', 'wrong-state', 'draft-is-stale', 'cannot-be-settled', 'limits-not-kept', 'flags-open', 'boxes-not-counted', 'settlement-held'],
} as const;
const reopen = {
  access: 'settlement.reopen',
  summary: 'Take a review back',
  params: idParamsSchema,
  body: reopenSettlementSchema,
  answer: settlementSchema,
  spoken: true,
  revision: 'shown',
  once: true,
  problems: ['being-counted', 'wrong-state'],
} as const;
const withNote = { params: idParamsSchema, body: noteOnSettlementSchema, answer: settlementSchema, spoken: true, revision: 'shown', once: true, problems: ['being-counted', 'wrong-state'] } as const;
const hold = { ...withNote, access: 'settlement.hold', summary: 'Hold a draft back from review, with the reason' } as const;
const release = { ...withNote, access: 'settlement.release', summary: 'Let a held draft be reviewed again' } as const;
const question = {
  ...withNote,
  access: 'settlement.question',
  summary: 'Ask the office about a settlement of one\'s own site',
  description: 'It stands on the list of the office (`GET /v1/settlements?question=open`) until it is answered.',
} as const;
const answer = { ...withNote, access: 'settlement.answer', summary: 'Answer what somebody of the site has asked', description: 'The site reads the answer in the history of the settlement.' } as const;
const override = {
  access: 'settlement.override-flags',
  summary: 'Let a settlement be reviewed although differences of counts are not explained, or a machine left with its box uncounted',
  description: 'Names what the refused review named; if more has come up since, it is refused. The reason is kept in the history of the settlement. What comes up later needs it again. A count that is entered afterwards is paid with the period in which it is booked.',
  params: idParamsSchema,
  body: overrideFlagsSchema,
  answer: settlementSchema,
  spoken: true,
  revision: 'shown',
  once: true,
  problems: ['being-counted', 'wrong-state', 'others-in-the-way'],
} as const;
const recompute = {
  access: 'settlement.recompute',
  summary: 'Compute a draft again from what is known now',
  params: idParamsSchema,
  answer: settlementSchema,
  spoken: true,
  revision: 'shown',
  once: true,
  problems: ['being-counted', 'wrong-state', 'cannot-be-settled'],
} as const;
const reversal = {
  access: 'settlement.reverse',
  summary: 'Take back the latest issued settlement of an agreement, so that its period is settled anew',
  description: 'The books have both on the day of the first one while that month is open, else on the first day that is open: at no day do they hold two settlements of a period.',
  params: idParamsSchema,
  body: reverseSettlementSchema,
  answer: settlementSchema,
  spoken: true,
  revision: 'shown',
  once: true,
  problems: ['being-counted', 'wrong-state', 'reversed-already', 'later-settlement-stands', 'settlement-paid', 'settlement-in-payment-run'],
} as const;
const statement = {
  access: 'statement.read',
  summary: 'Download the signed statement',
  params: idParamsSchema,
  file: 'application/pdf',
  problems: ['being-counted', 'statement-not-issued', 'statement-in-preparation'],
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

  @Post(':id/hold')
  @Endpoint(hold)
  hold(@Asked() { caller, params, body }: AskedFor<typeof hold>) {
    return holdSettlement(this.backoffice, caller, { ...params, ...body });
  }

  @Post(':id/release')
  @Endpoint(release)
  release(@Asked() { caller, params, body }: AskedFor<typeof release>) {
    return releaseSettlement(this.backoffice, caller, { ...params, ...body });
  }

  @Post(':id/question')
  @Endpoint(question)
  question(@Asked() { caller, params, body }: AskedFor<typeof question>) {
    return questionSettlement(this.backoffice, caller, { ...params, ...body });
  }

  @Post(':id/answer')
  @Endpoint(answer)
  answer(@Asked() { caller, params, body }: AskedFor<typeof answer>) {
    return answerSettlement(this.backoffice, caller, { ...params, ...body });
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
