import { Controller, Get, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { draftPaymentRun } from '#backoffice/payment-run/draft';
import { makePaymentFile } from '#backoffice/payment-run/make-file';
import { readPayables } from '#backoffice/payment-run/payables';
import { listPaymentRuns, readPaymentFile, readPaymentRun } from '#backoffice/payment-run/read';
import { recordRunPayments } from '#backoffice/payment-run/record-payments';
import { cancelPaymentRun, sendPaymentRun } from '#backoffice/payment-run/send';
import { idParamsSchema } from '#contracts/format';
import {
  cancelPaymentRunSchema,
  draftPaymentRunSchema,
  payablesQuerySchema,
  payablesSchema,
  paymentRunListQuerySchema,
  paymentRunPageSchema,
  paymentRunSchema,
  recordRunPaymentsSchema,
  sendPaymentRunSchema,
} from '#contracts/payment-run';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'payment-run.read', summary: 'List payment runs, newest first', query: paymentRunListQuerySchema, answer: paymentRunPageSchema, problems: ['invalid-cursor'] } as const;
const payables = { access: 'payment-run.read', summary: 'Show what a payment run would pay, and what it would leave out and why', query: payablesQuerySchema, answer: payablesSchema } as const;
const one = { access: 'payment-run.read', summary: 'Show a payment run with what it pays', params: idParamsSchema, answer: paymentRunSchema } as const;
const draft = {
  access: 'payment-run.make',
  summary: 'Draft a payment run',
  description: 'Of issued settlements with something due to the payee, less what was paid on account. A settlement is in one run at most.',
  body: draftPaymentRunSchema,
  answer: paymentRunSchema,
  status: 201,
  once: true,
  problems: ['invalid-command', 'already-exists', 'wrong-state', 'busy'],
} as const;
const changed = { params: idParamsSchema, answer: paymentRunSchema, once: true } as const;
const makeFile = {
  ...changed,
  access: 'payment-run.make',
  summary: 'Make the file of a payment run',
  description: 'ISO 20022 pain.001.001.09, or a file for the automated clearing house of the United States, by the account that is paid from.',
  problems: ['wrong-state'],
} as const;
const file = { access: 'payment-run.download', summary: 'Download the file of a payment run', description: 'Refused while the bank does not have it and what it pays is no longer as it was drafted. The first download is noted.', params: idParamsSchema, file: 'application/octet-stream', problems: ['wrong-state', 'no-longer-kept'] } as const;
const send = { ...changed, access: 'payment-run.confirm', summary: 'Confirm that the bank has the file', body: sendPaymentRunSchema, problems: ['invalid-command', 'wrong-state'] } as const;
const record = {
  ...changed,
  access: 'payment-run.confirm',
  summary: 'Record what the bank paid',
  description:
    'A payment per transfer, matched with its settlements. Transfers that the bank refused are named; saying so wants a second person, as cancelling does. A payment that comes back later is returned under `/v1/payments`. What was refused or came back can be paid by another run.',
  body: recordRunPaymentsSchema,
  problems: ['invalid-command', 'wrong-state', 'journal-closed', 'second-person-needed', 'busy'],
} as const;
const cancel = {
  ...changed,
  access: 'payment-run.make',
  summary: 'Cancel a payment run that the bank does not have, or whose file it refused',
  description:
    'Once its file was downloaded, somebody cancels it who neither downloaded it first nor confirmed that the bank has it. Where these two are all who make payment runs, the one who confirmed it cancels it, and that is labelled.',
  body: cancelPaymentRunSchema,
  problems: ['wrong-state', 'second-person-needed'],
} as const;

@Controller('v1/payment-runs')
export class PaymentRunController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listPaymentRuns(this.backoffice, caller, query);
  }

  @Post()
  @Endpoint(draft)
  draft(@Asked() { caller, body }: AskedFor<typeof draft>) {
    return draftPaymentRun(this.backoffice, caller, body);
  }

  @Get('payables')
  @Endpoint(payables)
  payables(@Asked() { caller, query }: AskedFor<typeof payables>) {
    return readPayables(this.backoffice, caller, query);
  }

  @Get(':id')
  @Endpoint(one)
  one(@Asked() { caller, params }: AskedFor<typeof one>) {
    return readPaymentRun(this.backoffice, caller, params.id);
  }

  @Get(':id/file')
  @Endpoint(file)
  file(@Asked() { caller, params }: AskedFor<typeof file>) {
    return readPaymentFile(this.backoffice, caller, params.id);
  }

  @Post(':id/make-file')
  @Endpoint(makeFile)
  makeFile(@Asked() { caller, params }: AskedFor<typeof makeFile>) {
    return makePaymentFile(this.backoffice, caller, params.id);
  }

  @Post(':id/confirm')
  @Endpoint(send)
  send(@Asked() { caller, params, body }: AskedFor<typeof send>) {
    return sendPaymentRun(this.backoffice, caller, { ...params, ...body });
  }

  @Post(':id/record-payments')
  @Endpoint(record)
  record(@Asked() { caller, params, body }: AskedFor<typeof record>) {
    return recordRunPayments(this.backoffice, caller, { ...params, ...body });
  }

  @Post(':id/cancel')
  @Endpoint(cancel)
  cancel(@Asked() { caller, params, body }: AskedFor<typeof cancel>) {
    return cancelPaymentRun(this.backoffice, caller, { ...params, ...body });
  }
}
