import { Controller, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { runWhatIf } from '#backoffice/what-if/run';
import { whatIfAnswerSchema, whatIfSchema } from '#contracts/what-if';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const run = {
  access: 'what-if.preview',
  summary: 'Compute past periods under other terms, without storing anything',
  description:
    'Per party and period: as issued (with what later settlements added), as it would have been, and the difference. The counts are those that the issued settlements took in; what a changed period carries opens the next one. Payout rules and advances decide when money goes to a party, not how much, and are not part of it.',
  body: whatIfSchema,
  answer: whatIfAnswerSchema,
  spoken: true,
  costly: true,
  problems: ['invalid-command', 'busy'],
} as const;

@Controller('v1/what-if')
export class WhatIfController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Post()
  @Endpoint(run)
  run(@Asked() { caller, body }: AskedFor<typeof run>) {
    return runWhatIf(this.backoffice, caller, body);
  }
}
