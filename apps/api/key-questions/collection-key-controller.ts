import { Controller, Get, Inject, Post } from '@nestjs/common';
import { exportKeyFindings, listKeyFindings, readKeyCheck } from '#backoffice/collection-key/check';
import { nameKeyHolder } from '#backoffice/collection-key/name';
import type { Backoffice } from '#backoffice/dependencies';
import { collectionKeyCheckSchema, collectionKeyExportQuerySchema, collectionKeyListQuerySchema, collectionKeyPageSchema, nameKeyHolderSchema } from '#contracts/collection-key';
import { idParamsSchema } from '#contracts/format';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const read = { access: 'collection-key.read', summary: 'Show whether who emptied the boxes of a collection had keys to them', params: idParamsSchema, answer: collectionKeyCheckSchema } as const;
const list = {
  access: 'collection-key.read',
  summary: 'List collections made without a fitting key, the latest first',
  query: collectionKeyListQuerySchema,
  answer: collectionKeyPageSchema,
  problems: ['invalid-cursor'],
} as const;
const file = { access: 'collection-key.read', summary: 'Download collections made without a fitting key as CSV', query: collectionKeyExportQuerySchema, file: 'text/csv; charset=utf-8' } as const;
const name = {
  access: 'collection-key.name',
  summary: 'Say whose key opened the boxes of a collection',
  params: idParamsSchema,
  body: nameKeyHolderSchema,
  answer: collectionKeyCheckSchema,
  once: true,
  problems: ['invalid-command'],
} as const;

@Controller('v1')
export class CollectionKeyController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get('collections/:id/key-check')
  @Endpoint(read)
  read(@Asked() { caller, params }: AskedFor<typeof read>) {
    return readKeyCheck(this.backoffice, caller, params);
  }

  @Get('collections-without-key')
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listKeyFindings(this.backoffice, caller, query);
  }

  @Get('collections-without-key/export')
  @Endpoint(file)
  exportKeyFindings(@Asked() { caller, query }: AskedFor<typeof file>) {
    return exportKeyFindings(this.backoffice, caller, query);
  }

  @Post('collections/:id/key-holder')
  @Endpoint(name)
  name(@Asked() { caller, params, body }: AskedFor<typeof name>) {
    return nameKeyHolder(this.backoffice, caller, { ...body, id: params.id });
  }
}
