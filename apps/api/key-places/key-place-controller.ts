import { Controller, Get, Inject, Patch, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { addKeyPlaceUser, changeKeyPlace, endKeyPlaceUser } from '#backoffice/key-place/change';
import { createKeyPlace } from '#backoffice/key-place/create';
import { listKeyPlaces, readKeyPlace } from '#backoffice/key-place/read';
import { idParamsSchema } from '#contracts/format';
import { addKeyPlaceUserSchema, changeKeyPlaceSchema, createKeyPlaceSchema, endKeyPlaceUserSchema, keyPlaceListQuerySchema, keyPlacePageSchema, keyPlaceSchema } from '#contracts/key-place';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'key-place.read', summary: 'List the key places at sites', query: keyPlaceListQuerySchema, answer: keyPlacePageSchema, problems: ['invalid-cursor'] } as const;
const read = { access: 'key-place.read', summary: 'Read a key place', params: idParamsSchema, answer: keyPlaceSchema, revision: 'shown' } as const;
const create = {
  access: 'key-place.create',
  summary: 'Record a hook or key safe at a site',
  body: createKeyPlaceSchema,
  status: 201,
  answer: keyPlaceSchema,
  once: true,
  revision: 'shown',
  problems: ['invalid-command', 'already-exists'],
} as const;
const change = {
  access: 'key-place.change',
  summary: 'Change a key place',
  params: idParamsSchema,
  body: changeKeyPlaceSchema,
  answer: keyPlaceSchema,
  revision: 'needed',
  problems: ['invalid-command'],
} as const;
const addUser = {
  access: 'key-place.change',
  summary: 'Put a person on the list of a key place',
  params: idParamsSchema,
  body: addKeyPlaceUserSchema,
  answer: keyPlaceSchema,
  once: true,
  problems: ['invalid-command'],
} as const;
const endUser = {
  access: 'key-place.change',
  summary: 'Take a person off the list of a key place',
  params: idParamsSchema,
  body: endKeyPlaceUserSchema,
  answer: keyPlaceSchema,
  once: true,
  problems: ['invalid-command'],
} as const;

@Controller('v1/key-places')
export class KeyPlaceController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listKeyPlaces(this.backoffice, caller, query);
  }

  @Get(':id')
  @Endpoint(read)
  read(@Asked() { caller, params }: AskedFor<typeof read>) {
    return readKeyPlace(this.backoffice, caller, params);
  }

  @Post()
  @Endpoint(create)
  create(@Asked() { caller, body }: AskedFor<typeof create>) {
    return createKeyPlace(this.backoffice, caller, body);
  }

  @Patch(':id')
  @Endpoint(change)
  change(@Asked() { caller, params, body, expectedRevision }: AskedFor<typeof change>) {
    return changeKeyPlace(this.backoffice, caller, { id: params.id, expectedRevision, change: body });
  }

  @Post(':id/users')
  @Endpoint(addUser)
  addUser(@Asked() { caller, params, body }: AskedFor<typeof addUser>) {
    return addKeyPlaceUser(this.backoffice, caller, { id: params.id, ...body });
  }

  @Post(':id/users/end')
  @Endpoint(endUser)
  endUser(@Asked() { caller, params, body }: AskedFor<typeof endUser>) {
    return endKeyPlaceUser(this.backoffice, caller, { id: params.id, ...body });
  }
}
