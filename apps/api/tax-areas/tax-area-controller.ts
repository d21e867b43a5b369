import { Controller, Get, Inject, Patch, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { changeTaxArea, createTaxArea, listTaxAreas, readTaxArea } from '#backoffice/tax/areas';
import { createTaxRule, endTaxRule, listTaxRules } from '#backoffice/tax/rules';
import { idParamsSchema } from '#contracts/format';
import {
  changeTaxAreaSchema,
  createTaxAreaSchema,
  createTaxRuleSchema,
  endTaxRuleSchema,
  taxAreaListQuerySchema,
  taxAreaPageSchema,
  taxAreaSchema,
  taxRuleListQuerySchema,
  taxRulePageSchema,
  taxRuleParamsSchema,
  taxRuleSchema,
} from '#contracts/tax';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'tax-area.read', summary: 'List the tax areas', query: taxAreaListQuerySchema, answer: taxAreaPageSchema, problems: ['invalid-cursor'] } as const;
const read = { access: 'tax-area.read', summary: 'Read a tax area', params: idParamsSchema, answer: taxAreaSchema, revision: 'shown' } as const;
const create = {
  access: 'tax-area.create',
  summary: 'Record a tax area',
  body: createTaxAreaSchema,
  status: 201,
  answer: taxAreaSchema,
  once: true,
  revision: 'shown',
  problems: ['invalid-command', 'already-exists'],
} as const;
const change = {
  access: 'tax-area.change',
  summary: 'Change a tax area',
  params: idParamsSchema,
  body: changeTaxAreaSchema,
  answer: taxAreaSchema,
  revision: 'needed',
  problems: ['invalid-command', 'already-exists'],
} as const;
const listRules = {
  access: 'tax-rule.read',
  summary: 'List the dated rows of the taxes of an area',
  params: idParamsSchema,
  query: taxRuleListQuerySchema,
  answer: taxRulePageSchema,
  problems: ['invalid-cursor'],
} as const;
const createRule = {
  access: 'tax-rule.create',
  summary: 'Add a dated row to a tax of an area',
  description: 'A change of rate is a new row of the same code; `endsPrevious` ends the row before on the same day. Check rates with your tax authority.',
  params: idParamsSchema,
  body: createTaxRuleSchema,
  status: 201,
  answer: taxRuleSchema,
  once: true,
  problems: ['invalid-command', 'already-exists'],
} as const;
const endRule = {
  access: 'tax-rule.change',
  summary: 'End a dated row of a tax',
  params: taxRuleParamsSchema,
  body: endTaxRuleSchema,
  answer: taxRuleSchema,
  once: true,
  problems: ['invalid-command', 'wrong-state'],
} as const;

@Controller('v1/tax-areas')
export class TaxAreaController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listTaxAreas(this.backoffice, caller, query);
  }

  @Get(':id')
  @Endpoint(read)
  read(@Asked() { caller, params }: AskedFor<typeof read>) {
    return readTaxArea(this.backoffice, caller, params);
  }

  @Post()
  @Endpoint(create)
  create(@Asked() { caller, body }: AskedFor<typeof create>) {
    return createTaxArea(this.backoffice, caller, body);
  }

  @Patch(':id')
  @Endpoint(change)
  change(@Asked() { caller, params, body, expectedRevision }: AskedFor<typeof change>) {
    return changeTaxArea(this.backoffice, caller, { id: params.id, expectedRevision, change: body });
  }

  @Get(':id/rules')
  @Endpoint(listRules)
  listRules(@Asked() { caller, params, query }: AskedFor<typeof listRules>) {
    return listTaxRules(this.backoffice, caller, { ...query, areaId: params.id });
  }

  @Post(':id/rules')
  @Endpoint(createRule)
  createRule(@Asked() { caller, params, body }: AskedFor<typeof createRule>) {
    return createTaxRule(this.backoffice, caller, { ...body, areaId: params.id });
  }

  @Post(':id/rules/:ruleId/end')
  @Endpoint(endRule)
  endRule(@Asked() { caller, params, body }: AskedFor<typeof endRule>) {
    return endTaxRule(this.backoffice, caller, { ...body, areaId: params.id, ruleId: params.ruleId });
  }
}
