import { Controller, Get, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { createLimit, endLimit, listLimits } from '#backoffice/tax/limits';
import { idParamsSchema } from '#contracts/format';
import { createLawLimitSchema, endLawLimitSchema, lawLimitListQuerySchema, lawLimitPageSchema, lawLimitParamsSchema, lawLimitSchema } from '#contracts/law-limit';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = {
  access: 'law-limit.read',
  summary: 'List what the law of an area allows in agreements',
  params: idParamsSchema,
  query: lawLimitListQuerySchema,
  answer: lawLimitPageSchema,
  problems: ['invalid-cursor'],
} as const;
const create = {
  access: 'law-limit.create',
  summary: 'Add a limit of the law',
  description:
    'Terms that break it are refused when they are written; settlements whose figures break it are not reviewed. Ask your tax authority or a licensed practitioner which limits hold.',
  params: idParamsSchema,
  body: createLawLimitSchema,
  status: 201,
  answer: lawLimitSchema,
  once: true,
  problems: ['invalid-command', 'already-exists'],
} as const;
const end = {
  access: 'law-limit.change',
  summary: 'End a limit of the law',
  params: lawLimitParamsSchema,
  body: endLawLimitSchema,
  answer: lawLimitSchema,
  once: true,
  problems: ['invalid-command', 'wrong-state'],
} as const;

@Controller('v1/tax-areas/:id/limits')
export class LawLimitController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, params, query }: AskedFor<typeof list>) {
    return listLimits(this.backoffice, caller, { ...query, areaId: params.id });
  }

  @Post()
  @Endpoint(create)
  create(@Asked() { caller, params, body }: AskedFor<typeof create>) {
    return createLimit(this.backoffice, caller, { ...body, areaId: params.id });
  }

  @Post(':limitId/end')
  @Endpoint(end)
  end(@Asked() { caller, params, body }: AskedFor<typeof end>) {
    return endLimit(this.backoffice, caller, { ...body, areaId: params.id, limitId: params.limitId });
  }
}
