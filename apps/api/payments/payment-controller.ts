import { Controller, Get, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { matchAgain, putOnAccount, returnPayment, unmatchPayment } from '#backoffice/payment/change';
import { listPayments, readOnePayment } from '#backoffice/payment/read';
import { recordPayment } from '#backoffice/payment/record';
import { idParamsSchema } from '#contracts/format';
import {
  matchPaymentSchema,
  paymentListQuerySchema,
  paymentPageSchema,
  paymentSchema,
  putPaymentOnAccountSchema,
  recordPaymentSchema,
  returnPaymentSchema,
  unmatchPaymentSchema,
} from '#contracts/payment';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'payment.read', summary: 'List payments, newest first', query: paymentListQuerySchema, answer: paymentPageSchema, problems: ['invalid-cursor'] } as const;
const one = { access: 'payment.read', summary: 'Show a payment with its history', params: idParamsSchema, answer: paymentSchema } as const;
const record = {
  access: 'payment.record',
  summary: 'Record a payment and what it settles',
  description: 'Without `settlements` it settles the oldest open items. More than what is due is refused, unless it is a payment on account.',
  body: recordPaymentSchema,
  answer: paymentSchema,
  status: 201,
  once: true,
  problems: ['invalid-command', 'already-exists', 'journal-closed', 'busy'],
} as const;
const match = {
  access: 'payment.match',
  summary: 'Match what is left of a payment',
  params: idParamsSchema,
  body: matchPaymentSchema,
  answer: paymentSchema,
  once: true,
  problems: ['invalid-command', 'wrong-state', 'busy'],
} as const;
const unmatch = {
  access: 'payment.match',
  summary: 'Take a payment off what it settles',
  params: idParamsSchema,
  body: unmatchPaymentSchema,
  answer: paymentSchema,
  once: true,
  problems: ['wrong-state', 'busy'],
} as const;
const onAccount = {
  access: 'payment.match',
  summary: 'Put what is left of a payment on account',
  description: 'The next settlement of the agreement sets it off. Until then it can still be matched.',
  params: idParamsSchema,
  body: putPaymentOnAccountSchema,
  answer: paymentSchema,
  once: true,
  problems: ['wrong-state', 'busy'],
} as const;
const back = {
  access: 'payment.return',
  summary: 'Note that a payment came back',
  params: idParamsSchema,
  body: returnPaymentSchema,
  answer: paymentSchema,
  once: true,
  problems: ['invalid-command', 'wrong-state', 'journal-closed', 'busy'],
} as const;

@Controller('v1/payments')
export class PaymentController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listPayments(this.backoffice, caller, query);
  }

  @Post()
  @Endpoint(record)
  record(@Asked() { caller, body }: AskedFor<typeof record>) {
    return recordPayment(this.backoffice, caller, body);
  }

  @Get(':id')
  @Endpoint(one)
  one(@Asked() { caller, params }: AskedFor<typeof one>) {
    return readOnePayment(this.backoffice, caller, params.id);
  }

  @Post(':id/match')
  @Endpoint(match)
  match(@Asked() { caller, params, body }: AskedFor<typeof match>) {
    return matchAgain(this.backoffice, caller, { ...params, ...body });
  }

  @Post(':id/unmatch')
  @Endpoint(unmatch)
  unmatch(@Asked() { caller, params, body }: AskedFor<typeof unmatch>) {
    return unmatchPayment(this.backoffice, caller, { ...params, ...body });
  }

  @Post(':id/put-on-account')
  @Endpoint(onAccount)
  putOnAccount(@Asked() { caller, params, body }: AskedFor<typeof onAccount>) {
    return putOnAccount(this.backoffice, caller, { ...params, ...body });
  }

  @Post(':id/return')
  @Endpoint(back)
  back(@Asked() { caller, params, body }: AskedFor<typeof back>) {
    return returnPayment(this.backoffice, caller, { ...params, ...body });
  }
}
