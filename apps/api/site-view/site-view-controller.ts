import { Controller, Get, Inject } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { readSiteView } from '#backoffice/site-view/read';
import { siteViewSchema } from '#contracts/site-view';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const view = { access: 'site-view.read', summary: 'Show the share and the statements of your own sites', answer: siteViewSchema } as const;

@Controller('v1/site-view')
export class SiteViewController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(view)
  view(@Asked() { caller }: AskedFor<typeof view>) {
    return readSiteView(this.backoffice, caller);
  }
}
