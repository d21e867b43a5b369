import { Controller, Get, Inject, Post } from '@nestjs/common';
import { correctBreakIn } from '#backoffice/break-in/correct';
import { listBreakIns } from '#backoffice/break-in/read';
import { recordBreakIn } from '#backoffice/break-in/record';
import type { Backoffice } from '#backoffice/dependencies';
import { breakInListQuerySchema, breakInPageSchema, breakInSchema, correctBreakInSchema, recordBreakInSchema } from '#contracts/break-in';
import { idParamsSchema } from '#contracts/format';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'break-in.read', summary: 'List break-ins and their corrections, the latest day first', query: breakInListQuerySchema, answer: breakInPageSchema, problems: ['invalid-cursor'] } as const;
const record = {
  access: 'break-in.record',
  summary: 'Record a break-in',
  description: 'Cash that was stolen out of a machine. The terms say who bears it, the tax rule whether it is taxed.',
  body: recordBreakInSchema,
  status: 201,
  answer: breakInSchema,
  once: true,
  problems: ['invalid-command', 'already-exists', 'no-agreement'],
} as const;
const correct = {
  access: 'break-in.correct',
  summary: 'Correct the amount of a break-in',
  description: 'The first figure stays legible. Somebody else than who recorded it makes the correction.',
  params: idParamsSchema,
  body: correctBreakInSchema,
  status: 201,
  answer: breakInSchema,
  once: true,
  problems: ['invalid-command', 'already-exists', 'no-agreement', 'wrong-state', 'second-person-needed', 'changed-meanwhile'],
} as const;

@Controller('v1/break-ins')
export class BreakInController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listBreakIns(this.backoffice, caller, query);
  }

  @Post()
  @Endpoint(record)
  record(@Asked() { caller, body }: AskedFor<typeof record>) {
    return recordBreakIn(this.backoffice, caller, body);
  }

  @Post(':id/corrections')
  @Endpoint(correct)
  correct(@Asked() { caller, params, body }: AskedFor<typeof correct>) {
    return correctBreakIn(this.backoffice, caller, { ...body, breakInId: params.id });
  }
}
