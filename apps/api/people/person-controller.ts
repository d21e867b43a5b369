import { Controller, Get, Inject, Patch, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { changePerson } from '#backoffice/person/change';
import { createPerson } from '#backoffice/person/create';
import { erasePerson } from '#backoffice/person/erase';
import { listPeople, readPerson } from '#backoffice/person/read';
import { erasedPersonSchema } from '#contracts/custody-acknowledgement';
import { idParamsSchema } from '#contracts/format';
import { changePersonSchema, createPersonSchema, personListQuerySchema, personPageSchema, personSchema } from '#contracts/person';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'person.read', summary: 'List the people who work for the operator or at its sites', query: personListQuerySchema, answer: personPageSchema, problems: ['invalid-cursor'] } as const;
const read = { access: 'person.read', summary: 'Read a person', params: idParamsSchema, answer: personSchema, revision: 'shown' } as const;
const create = {
  access: 'person.create',
  summary: 'Record a person',
  body: createPersonSchema,
  status: 201,
  answer: personSchema,
  once: true,
  revision: 'shown',
  problems: ['invalid-command', 'already-exists'],
} as const;
const change = {
  access: 'person.change',
  summary: 'Change a person',
  params: idParamsSchema,
  body: changePersonSchema,
  answer: personSchema,
  revision: 'needed',
  problems: ['invalid-command', 'already-exists'],
} as const;
const erase = {
  access: 'person.erase',
  summary: 'Erase what tells who somebody was who has left',
  description: 'Name, address and signatures. What they did stays by id, and every proof of the evidence log holds.',
  params: idParamsSchema,
  status: 201,
  answer: erasedPersonSchema,
  once: true,
  problems: ['wrong-state'],
} as const;

@Controller('v1/people')
export class PersonController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listPeople(this.backoffice, caller, query);
  }

  @Get(':id')
  @Endpoint(read)
  read(@Asked() { caller, params }: AskedFor<typeof read>) {
    return readPerson(this.backoffice, caller, params);
  }

  @Post()
  @Endpoint(create)
  create(@Asked() { caller, body }: AskedFor<typeof create>) {
    return createPerson(this.backoffice, caller, body);
  }

  @Patch(':id')
  @Endpoint(change)
  change(@Asked() { caller, params, body, expectedRevision }: AskedFor<typeof change>) {
    return changePerson(this.backoffice, caller, { id: params.id, expectedRevision, change: body });
  }

  @Post(':id/erasure')
  @Endpoint(erase)
  erase(@Asked() { caller, params }: AskedFor<typeof erase>) {
    return erasePerson(this.backoffice, caller, params);
  }
}
