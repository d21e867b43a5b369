import { Controller, Get, Inject } from '@nestjs/common';
import { readToConfirm } from '#backoffice/custody/to-confirm';
import type { Backoffice } from '#backoffice/dependencies';
import { exportKeyAttention, readKeyAttention } from '#backoffice/key-question/attention';
import { exportCopyHistory, readCopyHistory } from '#backoffice/key-question/history';
import { exportHoldings, listHoldings } from '#backoffice/key-question/holdings';
import { exportOpeners, readOpeners } from '#backoffice/key-question/openers';
import { exportPersonKeys, readOwnKeys, readPersonKeys } from '#backoffice/key-question/person-keys';
import { listOwnInventories } from '#backoffice/key-inventory/own';
import { listReceivers } from '#backoffice/key-question/receivers';
import { custodyToConfirmSchema } from '#contracts/custody-acknowledgement';
import { idParamsSchema } from '#contracts/format';
import {
  copyHistoryQuerySchema,
  copyHistorySchema,
  keyAttentionSchema,
  keyHoldingExportQuerySchema,
  keyHoldingListQuerySchema,
  keyHoldingPageSchema,
  momentQuerySchema,
  openersQuerySchema,
  openersSchema,
  ownKeysSchema,
  personKeysSchema,
} from '#contracts/key-question';
import { keyReceiversSchema, ownInventoriesSchema } from '#contracts/own-keys';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const csv = 'text/csv; charset=utf-8';
const holdings = {
  access: 'key-holding.read',
  summary: 'List who holds which key',
  description: 'By person, store, code or site, at any moment and as the books knew it at any moment. A site manager meets the access keys at their own sites.',
  query: keyHoldingListQuerySchema,
  answer: keyHoldingPageSchema,
  problems: ['invalid-cursor'],
} as const;
const holdingsFile = { access: 'key-holding.read', summary: 'Download who holds which key as CSV', query: keyHoldingExportQuerySchema, file: csv } as const;
const ofPerson = { access: 'key-reach.read', summary: 'Show the keys that a person has at hand, and what they open', params: idParamsSchema, query: momentQuerySchema, answer: personKeysSchema } as const;
const ofPersonFile = { access: 'key-reach.read', summary: 'Download the keys of a person and what they open as CSV', params: idParamsSchema, query: momentQuerySchema, file: csv } as const;
const own = { access: 'own-keys.read', summary: 'Show your own keys and what they open', query: momentQuerySchema, answer: ownKeysSchema } as const;
const toConfirm = { access: 'own-keys.read', summary: 'List what you still have to confirm: keys that you gave or received', answer: custodyToConfirmSchema } as const;
const receivers = { access: 'own-keys.read', summary: 'List to whom a key can be handed on at your sites', answer: keyReceiversSchema } as const;
const ownInventories = { access: 'own-keys.read', summary: 'List the open counts of keys that ask for keys which you have', answer: ownInventoriesSchema } as const;
const openers = {
  access: 'key-reach.read',
  summary: 'Show who could open a machine',
  description: 'Everybody who had a fitting key at hand at a moment or at any time of an interval: holders of copies, custodians of the stores and users of the named places they were in; each with every reason.',
  params: idParamsSchema,
  query: openersQuerySchema,
  answer: openersSchema,
} as const;
const openersFile = { access: 'key-reach.read', summary: 'Download who could open a machine as CSV', params: idParamsSchema, query: openersQuerySchema, file: csv } as const;
const attention = { access: 'key-attention.read', summary: 'Show keys that are missing, overdue, unconfirmed or in wrong hands, and sites without an access key', query: momentQuerySchema, answer: keyAttentionSchema } as const;
const attentionFile = { access: 'key-attention.read', summary: 'Download what is to be looked after about keys as CSV', query: momentQuerySchema, file: csv } as const;
const history = { access: 'key-reach.read', summary: 'Show where a copy was over time', params: idParamsSchema, query: copyHistoryQuerySchema, answer: copyHistorySchema } as const;
const historyFile = { access: 'key-reach.read', summary: 'Download where a copy was over time as CSV', params: idParamsSchema, query: copyHistoryQuerySchema, file: csv } as const;

@Controller('v1')
export class KeyQuestionController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get('key-holdings')
  @Endpoint(holdings)
  keyHoldings(@Asked() { caller, query }: AskedFor<typeof holdings>) {
    return listHoldings(this.backoffice, caller, query);
  }

  @Get('key-holdings/export')
  @Endpoint(holdingsFile)
  exportKeyHoldings(@Asked() { caller, query }: AskedFor<typeof holdingsFile>) {
    return exportHoldings(this.backoffice, caller, query);
  }

  @Get('own-keys')
  @Endpoint(own)
  ownKeys(@Asked() { caller, query }: AskedFor<typeof own>) {
    return readOwnKeys(this.backoffice, caller, query);
  }

  @Get('own-keys/to-confirm')
  @Endpoint(toConfirm)
  keysToConfirm(@Asked() { caller }: AskedFor<typeof toConfirm>) {
    return readToConfirm(this.backoffice, caller);
  }

  @Get('own-keys/receivers')
  @Endpoint(receivers)
  keyReceivers(@Asked() { caller }: AskedFor<typeof receivers>) {
    return listReceivers(this.backoffice, caller);
  }

  @Get('own-keys/inventories')
  @Endpoint(ownInventories)
  ownKeyInventories(@Asked() { caller }: AskedFor<typeof ownInventories>) {
    return listOwnInventories(this.backoffice, caller);
  }

  @Get('people/:id/keys')
  @Endpoint(ofPerson)
  keysOfPerson(@Asked() { caller, params, query }: AskedFor<typeof ofPerson>) {
    return readPersonKeys(this.backoffice, caller, { ...query, id: params.id });
  }

  @Get('people/:id/keys/export')
  @Endpoint(ofPersonFile)
  exportKeysOfPerson(@Asked() { caller, params, query }: AskedFor<typeof ofPersonFile>) {
    return exportPersonKeys(this.backoffice, caller, { ...query, id: params.id });
  }

  @Get('machines/:id/openers')
  @Endpoint(openers)
  openersOfMachine(@Asked() { caller, params, query }: AskedFor<typeof openers>) {
    return readOpeners(this.backoffice, caller, { ...query, id: params.id });
  }

  @Get('machines/:id/openers/export')
  @Endpoint(openersFile)
  exportOpenersOfMachine(@Asked() { caller, params, query }: AskedFor<typeof openersFile>) {
    return exportOpeners(this.backoffice, caller, { ...query, id: params.id });
  }

  @Get('key-attention')
  @Endpoint(attention)
  keyAttention(@Asked() { caller, query }: AskedFor<typeof attention>) {
    return readKeyAttention(this.backoffice, caller, query);
  }

  @Get('key-attention/export')
  @Endpoint(attentionFile)
  exportKeyAttention(@Asked() { caller, query }: AskedFor<typeof attentionFile>) {
    return exportKeyAttention(this.backoffice, caller, query);
  }

  @Get('key-copies/:id/custody')
  @Endpoint(history)
  keyHistory(@Asked() { caller, params, query }: AskedFor<typeof history>) {
    return readCopyHistory(this.backoffice, caller, { ...query, id: params.id });
  }

  @Get('key-copies/:id/custody/export')
  @Endpoint(historyFile)
  exportKeyHistory(@Asked() { caller, params, query }: AskedFor<typeof historyFile>) {
    return exportCopyHistory(this.backoffice, caller, { ...query, id: params.id });
  }
}
