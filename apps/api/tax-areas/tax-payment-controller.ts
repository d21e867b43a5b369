import { Controller, Get, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { listTaxPayments, recordTaxPayment, returnTaxPayment } from '#backoffice/tax-payment/pay';
import { idParamsSchema } from '#contracts/format';
import { recordTaxPaymentSchema, returnTaxPaymentSchema, taxPaymentListQuerySchema, taxPaymentPageSchema, taxPaymentParamsSchema, taxPaymentSchema } from '#contracts/tax-payment';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = {
  access: 'tax-return.read',
  summary: 'List what was paid to the authority of an area, newest first',
  params: idParamsSchema,
  query: taxPaymentListQuerySchema,
  answer: taxPaymentPageSchema,
  problems: ['invalid-cursor'],
} as const;
const record = {
  access: 'tax-return.pay',
  summary: 'Record a payment to the tax authority',
  description: 'For a filing month whose return is recorded, and no more than it leaves open. A refund goes the other way.',
  params: idParamsSchema,
  body: recordTaxPaymentSchema,
  answer: taxPaymentSchema,
  status: 201,
  once: true,
  problems: ['invalid-command', 'already-exists', 'journal-closed', 'busy'],
} as const;
const back = {
  access: 'tax-return.pay',
  summary: 'Note that a payment to the tax authority came back',
  params: taxPaymentParamsSchema,
  body: returnTaxPaymentSchema,
  answer: taxPaymentSchema,
  once: true,
  problems: ['invalid-command', 'wrong-state', 'journal-closed', 'busy'],
} as const;

@Controller('v1/tax-areas/:id/payments')
export class TaxPaymentController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, params, query }: AskedFor<typeof list>) {
    return listTaxPayments(this.backoffice, caller, { ...query, areaId: params.id });
  }

  @Post()
  @Endpoint(record)
  record(@Asked() { caller, params, body }: AskedFor<typeof record>) {
    return recordTaxPayment(this.backoffice, caller, { ...body, areaId: params.id });
  }

  @Post(':paymentId/return')
  @Endpoint(back)
  back(@Asked() { caller, params, body }: AskedFor<typeof back>) {
    return returnTaxPayment(this.backoffice, caller, { ...body, areaId: params.id, paymentId: params.paymentId });
  }
}
