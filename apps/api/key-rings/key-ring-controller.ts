import { Controller, Get, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { changeKeyRing } from '#backoffice/key-ring/change';
import { createKeyRing } from '#backoffice/key-ring/create';
import { listKeyRings, readKeyRing } from '#backoffice/key-ring/read';
import { idParamsSchema } from '#contracts/format';
import { changeKeyRingSchema, createKeyRingSchema, keyRingListQuerySchema, keyRingPageSchema, keyRingSchema } from '#contracts/key-ring';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'key-ring.read', summary: 'List the key rings', query: keyRingListQuerySchema, answer: keyRingPageSchema, problems: ['invalid-cursor'] } as const;
const read = { access: 'key-ring.read', summary: 'Read a key ring', params: idParamsSchema, answer: keyRingSchema } as const;
const create = {
  access: 'key-ring.create',
  summary: 'Record a key ring',
  body: createKeyRingSchema,
  status: 201,
  answer: keyRingSchema,
  once: true,
  problems: ['already-exists'],
} as const;
const change = {
  access: 'key-ring.change',
  summary: 'Put copies on a ring or take them off',
  params: idParamsSchema,
  body: changeKeyRingSchema,
  answer: keyRingSchema,
  once: true,
  problems: ['invalid-command'],
} as const;

@Controller('v1/key-rings')
export class KeyRingController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listKeyRings(this.backoffice, caller, query);
  }

  @Get(':id')
  @Endpoint(read)
  read(@Asked() { caller, params }: AskedFor<typeof read>) {
    return readKeyRing(this.backoffice, caller, params);
  }

  @Post()
  @Endpoint(create)
  create(@Asked() { caller, body }: AskedFor<typeof create>) {
    return createKeyRing(this.backoffice, caller, body);
  }

  @Post(':id/copies')
  @Endpoint(change)
  change(@Asked() { caller, params, body }: AskedFor<typeof change>) {
    return changeKeyRing(this.backoffice, caller, { id: params.id, ...body });
  }
}
