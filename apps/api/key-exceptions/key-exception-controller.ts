import { Controller, Get, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { endKeyException, grantKeyException } from '#backoffice/key-exception/grant';
import { listKeyExceptions } from '#backoffice/key-exception/read';
import { idParamsSchema } from '#contracts/format';
import { endKeyExceptionSchema, grantKeyExceptionSchema, keyExceptionListQuerySchema, keyExceptionPageSchema, keyExceptionSchema } from '#contracts/key-exception';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'key-exception.read', summary: 'List the exceptions for cash-box keys', query: keyExceptionListQuerySchema, answer: keyExceptionPageSchema, problems: ['invalid-cursor'] } as const;
const grant = {
  access: 'key-exception.grant',
  summary: 'Let cash-box keys be given to somebody of a site',
  body: grantKeyExceptionSchema,
  status: 201,
  answer: keyExceptionSchema,
  once: true,
  problems: ['invalid-command', 'already-exists'],
} as const;
const end = {
  access: 'key-exception.end',
  summary: 'End an exception',
  params: idParamsSchema,
  body: endKeyExceptionSchema,
  answer: keyExceptionSchema,
  once: true,
  problems: ['invalid-command'],
} as const;

@Controller('v1/key-exceptions')
export class KeyExceptionController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listKeyExceptions(this.backoffice, caller, query);
  }

  @Post()
  @Endpoint(grant)
  grant(@Asked() { caller, body }: AskedFor<typeof grant>) {
    return grantKeyException(this.backoffice, caller, body);
  }

  @Post(':id/end')
  @Endpoint(end)
  end(@Asked() { caller, params, body }: AskedFor<typeof end>) {
    return endKeyException(this.backoffice, caller, { id: params.id, ...body });
  }
}
