import { Controller, Get, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { appointCustodian } from '#backoffice/key-store/appoint-custodian';
import { createKeyStore } from '#backoffice/key-store/create';
import { listKeyStores, readKeyStore } from '#backoffice/key-store/read';
import { idParamsSchema } from '#contracts/format';
import { appointCustodianSchema, createKeyStoreSchema, keyStoreListQuerySchema, keyStorePageSchema, keyStoreSchema } from '#contracts/key-store';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'key-store.read', summary: 'List the key stores', query: keyStoreListQuerySchema, answer: keyStorePageSchema, problems: ['invalid-cursor'] } as const;
const read = { access: 'key-store.read', summary: 'Read a key store', params: idParamsSchema, answer: keyStoreSchema } as const;
const create = {
  access: 'key-store.create',
  summary: 'Record where keys are kept',
  body: createKeyStoreSchema,
  status: 201,
  answer: keyStoreSchema,
  once: true,
  problems: ['already-exists'],
} as const;
const appoint = {
  access: 'key-store.appoint',
  summary: 'Say who answers for the keys of a store',
  params: idParamsSchema,
  body: appointCustodianSchema,
  answer: keyStoreSchema,
  once: true,
  problems: ['invalid-command'],
} as const;

@Controller('v1/key-stores')
export class KeyStoreController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listKeyStores(this.backoffice, caller, query);
  }

  @Get(':id')
  @Endpoint(read)
  read(@Asked() { caller, params }: AskedFor<typeof read>) {
    return readKeyStore(this.backoffice, caller, params);
  }

  @Post()
  @Endpoint(create)
  create(@Asked() { caller, body }: AskedFor<typeof create>) {
    return createKeyStore(this.backoffice, caller, body);
  }

  @Post(':id/custodian')
  @Endpoint(appoint)
  appoint(@Asked() { caller, params, body }: AskedFor<typeof appoint>) {
    return appointCustodian(this.backoffice, caller, { id: params.id, ...body });
  }
}
