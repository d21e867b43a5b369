import { Controller, Get, Inject, Post } from '@nestjs/common';
import { makeKeyCopies } from '#backoffice/custody/make-copies';
import { listKeyCopies, readKeyCopy } from '#backoffice/custody/read';
import type { Backoffice } from '#backoffice/dependencies';
import { keyCopyHistorySchema, keyCopyListQuerySchema, keyCopyPageSchema, madeKeyCopiesSchema, makeKeyCopiesSchema } from '#contracts/custody';
import { idParamsSchema } from '#contracts/format';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'key-copy.read', summary: 'List the copies of keys with where they are', query: keyCopyListQuerySchema, answer: keyCopyPageSchema, problems: ['invalid-cursor'] } as const;
const read = { access: 'key-copy.read', summary: 'Read a copy of a key with its history', params: idParamsSchema, answer: keyCopyHistorySchema } as const;
const make = {
  access: 'key-copy.make',
  summary: 'Put new copies of a key into the books and into a store',
  body: makeKeyCopiesSchema,
  status: 201,
  answer: madeKeyCopiesSchema,
  once: true,
  problems: ['invalid-command', 'already-exists', 'changed-meanwhile'],
} as const;

@Controller('v1/key-copies')
export class KeyCopyController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listKeyCopies(this.backoffice, caller, query);
  }

  @Get(':id')
  @Endpoint(read)
  read(@Asked() { caller, params }: AskedFor<typeof read>) {
    return readKeyCopy(this.backoffice, caller, params);
  }

  @Post()
  @Endpoint(make)
  make(@Asked() { caller, body }: AskedFor<typeof make>) {
    return makeKeyCopies(this.backoffice, caller, body);
  }
}
