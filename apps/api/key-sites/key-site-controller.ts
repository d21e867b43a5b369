import { Controller, Get, Inject } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { listKeySites } from '#backoffice/key-site/read';
import { keySiteListQuerySchema, keySitePageSchema } from '#contracts/key-site';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = {
  access: 'key-site.read',
  summary: 'List the open sites with how far their keys are set up',
  query: keySiteListQuerySchema,
  answer: keySitePageSchema,
  problems: ['invalid-cursor'],
} as const;

@Controller('v1/key-sites')
export class KeySiteController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listKeySites(this.backoffice, caller, query);
  }
}
