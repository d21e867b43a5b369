import { Controller, Get, Inject, Post } from '@nestjs/common';
import { createApiToken } from '#backoffice/api-token/create';
import { listApiTokens } from '#backoffice/api-token/list';
import { revokeApiToken } from '#backoffice/api-token/revoke';
import type { Backoffice } from '#backoffice/dependencies';
import { apiTokenListQuerySchema, apiTokenPageSchema, apiTokenSchema, createApiTokenSchema, createdApiTokenSchema } from '#contracts/api-token';
import { idParamsSchema } from '#contracts/format';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'api-token.read', summary: 'List the API tokens', query: apiTokenListQuerySchema, answer: apiTokenPageSchema, problems: ['invalid-cursor'] } as const;
const create = { access: 'api-token.create', summary: 'Make an API token', body: createApiTokenSchema, status: 201, answer: createdApiTokenSchema, once: true, problems: ['invalid-command', 'already-exists'] } as const;
const revoke = { access: 'api-token.revoke', summary: 'Revoke an API token', params: idParamsSchema, answer: apiTokenSchema, once: true } as const;

@Controller('v1/api-tokens')
export class ApiTokenController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listApiTokens(this.backoffice, caller, query);
  }

  @Post()
  @Endpoint(create)
  create(@Asked() { caller, body }: AskedFor<typeof create>) {
    return createApiToken(this.backoffice, caller, body);
  }

  @Post(':id/revoke')
  @Endpoint(revoke)
  revoke(@Asked() { caller, params }: AskedFor<typeof revoke>) {
    return revokeApiToken(this.backoffice, caller, params);
  }
}
