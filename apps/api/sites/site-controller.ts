import { Controller, Get, Inject, Patch, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { changeSite } from '#backoffice/site/change';
import { createSite } from '#backoffice/site/create';
import { listSites, readSite } from '#backoffice/site/read';
import { idParamsSchema } from '#contracts/format';
import { changeSiteSchema, createSiteSchema, siteListQuerySchema, sitePageSchema, siteSchema } from '#contracts/site';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'site.read', summary: 'List the sites', query: siteListQuerySchema, answer: sitePageSchema, problems: ['invalid-cursor'] } as const;
const read = { access: 'site.read', summary: 'Read a site', params: idParamsSchema, answer: siteSchema, revision: 'shown' } as const;
const create = {
  access: 'site.create',
  summary: 'Record a site',
  body: createSiteSchema,
  status: 201,
  answer: siteSchema,
  once: true,
  revision: 'shown',
  problems: ['invalid-command', 'already-exists'],
} as const;
const change = {
  access: 'site.change',
  summary: 'Change a site',
  params: idParamsSchema,
  body: changeSiteSchema,
  answer: siteSchema,
  revision: 'needed',
  problems: ['invalid-command', 'already-exists'],
} as const;

@Controller('v1/sites')
export class SiteController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listSites(this.backoffice, caller, query);
  }

  @Get(':id')
  @Endpoint(read)
  read(@Asked() { caller, params }: AskedFor<typeof read>) {
    return readSite(this.backoffice, caller, params);
  }

  @Post()
  @Endpoint(create)
  create(@Asked() { caller, body }: AskedFor<typeof create>) {
    return createSite(this.backoffice, caller, body);
  }

  @Patch(':id')
  @Endpoint(change)
  change(@Asked() { caller, params, body, expectedRevision }: AskedFor<typeof change>) {
    return changeSite(this.backoffice, caller, { id: params.id, expectedRevision, change: body });
  }
}
