import { Controller, Get, Inject, Patch, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { changeParty } from '#backoffice/party/change';
import { createParty } from '#backoffice/party/create';
import { eraseParty, readPartyErasure } from '#backoffice/party/erase';
import { listParties, readParty } from '#backoffice/party/read';
import { idParamsSchema } from '#contracts/format';
import { changePartySchema, createPartySchema, partyErasureSchema, partyListQuerySchema, partyPageSchema, partySchema } from '#contracts/party';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'party.read', summary: 'List the parties that can be owed money', query: partyListQuerySchema, answer: partyPageSchema, problems: ['invalid-cursor'] } as const;
const read = { access: 'party.read', summary: 'Read a party that can be owed money', params: idParamsSchema, answer: partySchema, revision: 'shown' } as const;
const create = {
  access: 'party.create',
  summary: 'Record a party that can be owed money',
  body: createPartySchema,
  status: 201,
  answer: partySchema,
  once: true,
  revision: 'shown',
  problems: ['invalid-command', 'already-exists'],
} as const;
const change = {
  access: 'party.change',
  summary: 'Change a party that can be owed money',
  params: idParamsSchema,
  body: changePartySchema,
  answer: partySchema,
  revision: 'needed',
  problems: ['invalid-command', 'already-exists'],
} as const;
const erasure = { access: 'party.erase', summary: 'Show whether who a party was may be erased, and what is in the way', params: idParamsSchema, answer: partyErasureSchema } as const;
const erase = {
  access: 'party.erase',
  summary: 'Erase who a party was',
  description: 'Name, address, e-mail, bank accounts and taxpayer numbers, and what the audit trail shows of them. Refused while anything is open with them, a hold stands, or the law asks to keep it. Issued statements stay as they are.',
  params: idParamsSchema,
  status: 201,
  answer: partySchema,
  once: true,
  problems: ['wrong-state', 'must-be-kept'],
} as const;

@Controller('v1/parties')
export class PartyController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listParties(this.backoffice, caller, query);
  }

  @Get(':id')
  @Endpoint(read)
  read(@Asked() { caller, params }: AskedFor<typeof read>) {
    return readParty(this.backoffice, caller, params);
  }

  @Post()
  @Endpoint(create)
  create(@Asked() { caller, body }: AskedFor<typeof create>) {
    return createParty(this.backoffice, caller, body);
  }

  @Patch(':id')
  @Endpoint(change)
  change(@Asked() { caller, params, body, expectedRevision }: AskedFor<typeof change>) {
    return changeParty(this.backoffice, caller, { id: params.id, expectedRevision, change: body });
  }

  @Get(':id/erasure')
  @Endpoint(erasure)
  erasure(@Asked() { caller, params }: AskedFor<typeof erasure>) {
    return readPartyErasure(this.backoffice, caller, params);
  }

  @Post(':id/erasure')
  @Endpoint(erase)
  erase(@Asked() { caller, params }: AskedFor<typeof erase>) {
    return eraseParty(this.backoffice, caller, params);
  }
}
