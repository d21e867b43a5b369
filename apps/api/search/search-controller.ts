import { Controller, Get, Inject } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { find } from '#backoffice/search/find';
import { searchAnswerSchema, searchQuerySchema } from '#contracts/search';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const search = {
  access: 'search.read',
  summary: 'Find sites, machines, settlements, people and keys by code, number or name',
  query: searchQuerySchema,
  answer: searchAnswerSchema,
} as const;

@Controller('v1/search')
export class SearchController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(search)
  find(@Asked() { caller, query }: AskedFor<typeof search>) {
    return find(this.backoffice, caller, query);
  }
}
