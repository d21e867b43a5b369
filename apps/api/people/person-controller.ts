import { Controller, Get, Inject, Patch, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { erasePerson } from '#backoffice/erasure/erase-person';
import { listTextsNaming } from '#backoffice/erasure/list-texts';
import { changePerson } from '#backoffice/person/change';
import { createPerson } from '#backoffice/person/create';
import { listPeople, readPerson } from '#backoffice/person/read';
import { erasedPersonSchema, erasePersonSchema, textsNamingPersonSchema } from '#contracts/erasure';
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
  problems: ['invalid-command', 'already-exists', 'wrong-state'],
} as const;
const texts = { access: 'person.erase', summary: 'List the texts that name a person, before they are erased', params: idParamsSchema, answer: textsNamingPersonSchema, problems: ['wrong-state'] } as const;
const erase = {
  access: 'person.erase',
  summary: 'Erase what tells who somebody was who has left',
  description:
    'Name, address and signatures, and the name in texts about what they took part in and in those that are confirmed from the list of texts that name them. ' +
    'Each changed text gets an entry in the evidence log. What they did stays by id, and every proof of the log holds.',
  params: idParamsSchema,
  body: erasePersonSchema,
  status: 201,
  answer: erasedPersonSchema,
  once: true,
  problems: ['wrong-state', 'invalid-command', 'must-be-kept'],
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

  @Get(':id/texts')
  @Endpoint(texts)
  texts(@Asked() { caller, params }: AskedFor<typeof texts>) {
    return listTextsNaming(this.backoffice, caller, params);
  }

  @Post(':id/erasure')
  @Endpoint(erase)
  erase(@Asked() { caller, params, body }: AskedFor<typeof erase>) {
    return erasePerson(this.backoffice, caller, { id: params.id, ...body });
  }
}
