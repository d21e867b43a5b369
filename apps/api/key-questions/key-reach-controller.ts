import { Controller, Get, Inject } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { exportIfCopyWereLost, ifCodeWereLost, ifCopyWereLost } from '#backoffice/key-question/if-lost';
import { idParamsSchema } from '#contracts/format';
import { momentQuerySchema } from '#contracts/key-question';
import { copyReachSchema, keyReachSchema } from '#contracts/key-reach';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const ofCopy = {
  access: 'key-reach.read',
  summary: 'Show what would follow if this copy were lost',
  description: 'The locks that it opens by machine and site, the cash that probably lies there, and who has other copies. Asking reports nothing.',
  params: idParamsSchema,
  query: momentQuerySchema,
  answer: copyReachSchema,
} as const;
const ofCopyFile = { access: 'key-reach.read', summary: 'Download what would follow if this copy were lost as CSV', params: idParamsSchema, query: momentQuerySchema, file: 'text/csv; charset=utf-8' } as const;
const ofCode = { access: 'key-reach.read', summary: 'Show what the keys of a code open, and who has them', params: idParamsSchema, query: momentQuerySchema, answer: keyReachSchema } as const;

@Controller('v1')
export class KeyReachController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get('key-copies/:id/reach')
  @Endpoint(ofCopy)
  reachOfCopy(@Asked() { caller, params, query }: AskedFor<typeof ofCopy>) {
    return ifCopyWereLost(this.backoffice, caller, { ...query, id: params.id });
  }

  @Get('key-copies/:id/reach/export')
  @Endpoint(ofCopyFile)
  exportReachOfCopy(@Asked() { caller, params, query }: AskedFor<typeof ofCopyFile>) {
    return exportIfCopyWereLost(this.backoffice, caller, { ...query, id: params.id });
  }

  @Get('key-codes/:id/reach')
  @Endpoint(ofCode)
  reachOfCode(@Asked() { caller, params, query }: AskedFor<typeof ofCode>) {
    return ifCodeWereLost(this.backoffice, caller, { ...query, id: params.id });
  }
}
