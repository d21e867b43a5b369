import { Controller, Get, Inject } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { readStanding } from '#backoffice/statement/standing';
import { standingQuerySchema, statementStandingSchema } from '#contracts/statement-standing';
import { visitorOf } from '../authentication/visitor';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const standing = {
  access: 'public',
  guessable: true,
  summary: 'Say whether a statement was reversed, or its certificate revoked, since it was issued',
  description: 'For whoever holds the statement: the digest follows from a salt that is in the file alone.',
  query: standingQuerySchema,
  answer: statementStandingSchema,
} as const;

@Controller('v1/statements')
export class StatementController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get('standing')
  @Endpoint(standing)
  standing(@Asked() { query, request }: AskedFor<typeof standing>) {
    return readStanding(this.backoffice, visitorOf(request), query);
  }
}
