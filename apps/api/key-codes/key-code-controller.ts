import { Controller, Get, Inject, Patch, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { changeKeyCode } from '#backoffice/key-code/change';
import { createKeyCode } from '#backoffice/key-code/create';
import { listKeyCodes, readKeyCode } from '#backoffice/key-code/read';
import { idParamsSchema } from '#contracts/format';
import { changeKeyCodeSchema, createKeyCodeSchema, keyCodeListQuerySchema, keyCodePageSchema, keyCodeSchema } from '#contracts/key-code';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'key-code.read', summary: 'List the key codes', query: keyCodeListQuerySchema, answer: keyCodePageSchema, problems: ['invalid-cursor'] } as const;
const read = { access: 'key-code.read', summary: 'Read a key code', params: idParamsSchema, answer: keyCodeSchema, revision: 'shown' } as const;
const create = {
  access: 'key-code.create',
  summary: 'Record a key code',
  body: createKeyCodeSchema,
  status: 201,
  answer: keyCodeSchema,
  once: true,
  revision: 'shown',
  problems: ['already-exists'],
} as const;
const change = {
  access: 'key-code.change',
  summary: 'Change a key code',
  params: idParamsSchema,
  body: changeKeyCodeSchema,
  answer: keyCodeSchema,
  revision: 'needed',
  problems: ['already-exists'],
} as const;

@Controller('v1/key-codes')
export class KeyCodeController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listKeyCodes(this.backoffice, caller, query);
  }

  @Get(':id')
  @Endpoint(read)
  read(@Asked() { caller, params }: AskedFor<typeof read>) {
    return readKeyCode(this.backoffice, caller, params);
  }

  @Post()
  @Endpoint(create)
  create(@Asked() { caller, body }: AskedFor<typeof create>) {
    return createKeyCode(this.backoffice, caller, body);
  }

  @Patch(':id')
  @Endpoint(change)
  change(@Asked() { caller, params, body, expectedRevision }: AskedFor<typeof change>) {
    return changeKeyCode(this.backoffice, caller, { id: params.id, expectedRevision, change: body });
  }
}
