import { Controller, Get, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { enterRefundClaim, listRefundClaims, refuseRefundClaim, withdrawRefundClaim } from '#backoffice/refund-claim/refund-claim';
import { idParamsSchema } from '#contracts/format';
import { enterRefundClaimSchema, refundClaimListQuerySchema, refundClaimPageSchema, refundClaimSchema, refuseRefundClaimSchema } from '#contracts/refund-claim';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'refund-claim.read', summary: 'List what sites say that they gave back to players, the latest first', query: refundClaimListQuerySchema, answer: refundClaimPageSchema, problems: ['invalid-cursor'] } as const;
const enter = {
  access: 'refund-claim.enter',
  summary: 'Enter money that a site gave back to a player',
  description: 'A proposal: it counts once a collection has taken it over as a refund slip.',
  body: enterRefundClaimSchema,
  answer: refundClaimSchema,
  status: 201,
  once: true,
  problems: ['invalid-command', 'already-exists'],
} as const;
const refuse = {
  access: 'refund-claim.refuse',
  summary: 'Refuse a claim, with the reason for the site',
  params: idParamsSchema,
  body: refuseRefundClaimSchema,
  answer: refundClaimSchema,
  once: true,
  problems: ['not-allowed-in-state'],
} as const;
const withdraw = {
  access: 'refund-claim.withdraw',
  summary: 'Take back a claim that was entered by mistake',
  params: idParamsSchema,
  answer: refundClaimSchema,
  once: true,
  problems: ['not-allowed-in-state'],
} as const;

@Controller('v1/refund-claims')
export class RefundClaimController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listRefundClaims(this.backoffice, caller, query);
  }

  @Post()
  @Endpoint(enter)
  enter(@Asked() { caller, body }: AskedFor<typeof enter>) {
    return enterRefundClaim(this.backoffice, caller, body);
  }

  @Post(':id/refusal')
  @Endpoint(refuse)
  refuse(@Asked() { caller, params, body }: AskedFor<typeof refuse>) {
    return refuseRefundClaim(this.backoffice, caller, { ...body, id: params.id });
  }

  @Post(':id/withdrawal')
  @Endpoint(withdraw)
  withdraw(@Asked() { caller, params }: AskedFor<typeof withdraw>) {
    return withdrawRefundClaim(this.backoffice, caller, params);
  }
}
