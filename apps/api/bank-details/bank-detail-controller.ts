import { Controller, Get, Inject, Post } from '@nestjs/common';
import { confirmBankDetail, rejectBankDetail, withdrawBankDetail } from '#backoffice/bank-detail/decide';
import { proposeBankDetail } from '#backoffice/bank-detail/propose';
import { listBankDetails } from '#backoffice/bank-detail/read';
import type { Backoffice } from '#backoffice/dependencies';
import {
  bankDetailListQuerySchema,
  bankDetailPageSchema,
  bankDetailReasonSchema,
  bankDetailSchema,
  confirmBankDetailSchema,
  proposeBankDetailSchema,
} from '#contracts/bank-detail';
import { idParamsSchema } from '#contracts/format';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = {
  access: 'bank-detail.read',
  summary: 'List bank accounts of payees and of the operator, newest first',
  description: 'Masked: of a number only the last characters are shown.',
  query: bankDetailListQuerySchema,
  answer: bankDetailPageSchema,
  problems: ['invalid-cursor'],
} as const;
const propose = {
  access: 'bank-detail.propose',
  summary: 'Propose a bank account',
  description: 'Nothing is paid to it, or from it, before a second person confirmed it. Owners and the people of the payee’s sites are told by mail.',
  body: proposeBankDetailSchema,
  answer: bankDetailSchema,
  status: 201,
  once: true,
  problems: ['invalid-command', 'already-exists'],
} as const;
const confirm = {
  access: 'bank-detail.confirm',
  summary: 'Confirm a proposed bank account',
  description: 'By somebody else than who proposed it, who types the number anew. It takes the place of the one in force.',
  params: idParamsSchema,
  body: confirmBankDetailSchema,
  answer: bankDetailSchema,
  once: true,
  problems: ['invalid-command', 'wrong-state', 'second-person-needed'],
} as const;
const reject = { access: 'bank-detail.reject', summary: 'Reject a proposed bank account', params: idParamsSchema, body: bankDetailReasonSchema, answer: bankDetailSchema, once: true, problems: ['wrong-state'] } as const;
const withdraw = { ...reject, access: 'bank-detail.withdraw', summary: 'Pay to a bank account no more' } as const;

@Controller('v1/bank-details')
export class BankDetailController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listBankDetails(this.backoffice, caller, query);
  }

  @Post()
  @Endpoint(propose)
  propose(@Asked() { caller, body }: AskedFor<typeof propose>) {
    return proposeBankDetail(this.backoffice, caller, body);
  }

  @Post(':id/confirm')
  @Endpoint(confirm)
  confirm(@Asked() { caller, params, body }: AskedFor<typeof confirm>) {
    return confirmBankDetail(this.backoffice, caller, { ...params, ...body });
  }

  @Post(':id/reject')
  @Endpoint(reject)
  reject(@Asked() { caller, params, body }: AskedFor<typeof reject>) {
    return rejectBankDetail(this.backoffice, caller, { ...params, ...body });
  }

  @Post(':id/withdraw')
  @Endpoint(withdraw)
  withdraw(@Asked() { caller, params, body }: AskedFor<typeof withdraw>) {
    return withdrawBankDetail(this.backoffice, caller, { ...params, ...body });
  }
}
