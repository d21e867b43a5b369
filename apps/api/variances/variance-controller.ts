import { Controller, Get, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { readAttribution } from '#backoffice/variance/attribution';
import { readVarianceChart } from '#backoffice/variance/chart';
import { explainFlag } from '#backoffice/variance/explain';
import { listFlags } from '#backoffice/variance/list-flags';
import { readVarianceMonth } from '#backoffice/variance/month';
import { readCollectionVariances } from '#backoffice/variance/read-collection';
import { readFlag } from '#backoffice/variance/read-flag';
import { exportVarianceReport, readVarianceReport } from '#backoffice/variance/report';
import { listRuleSets, recordRuleSet } from '#backoffice/variance/rule-set';
import { idParamsSchema } from '#contracts/format';
import {
  collectionVariancesSchema,
  explainVarianceFlagSchema,
  recordToleranceRuleSetSchema,
  toleranceRuleSetSchema,
  toleranceRuleSetsSchema,
  varianceChartQuerySchema,
  varianceChartSchema,
  varianceFlagDetailSchema,
  varianceFlagListQuerySchema,
  varianceFlagPageSchema,
  varianceMonthQuerySchema,
  varianceMonthSchema,
} from '#contracts/variance';
import { varianceAttributionQuerySchema, varianceAttributionSchema } from '#contracts/variance-attribution';
import { varianceReportQuerySchema, varianceReportSchema } from '#contracts/variance-report';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const month = {
  access: 'variance.read',
  summary: 'Compare what was counted in a month with what meters say',
  description: 'Accepted collections only. Sites where you are counting are left out until their collection is accepted.',
  query: varianceMonthQuerySchema,
  answer: varianceMonthSchema,
} as const;
const attribution = {
  access: 'variance.attribute',
  summary: 'Compare shortages with and without the custody of each holder of cash-box keys',
  description: 'An association and no proof of anything about a person. For the owner alone; each look is recorded in the audit trail.',
  query: varianceAttributionQuerySchema,
  answer: varianceAttributionSchema,
  spoken: true,
  costly: true,
} as const;
const report = {
  access: 'variance-report.read',
  summary: 'Add up differences by machine, site, collector or month',
  description: 'Accepted collections only. What a row says of a collector proves nothing about them: routes and machines differ.',
  query: varianceReportQuerySchema,
  answer: varianceReportSchema,
} as const;
const reportFile = { access: 'variance-report.read', summary: 'Download differences by machine, site, collector or month as CSV', query: varianceReportQuerySchema, file: 'text/csv; charset=utf-8' } as const;
const chart = {
  access: 'variance.read',
  summary: 'Show the charts of the differences of a machine',
  params: idParamsSchema,
  query: varianceChartQuerySchema,
  answer: varianceChartSchema,
  problems: ['being-counted'],
} as const;
const ofCollection = {
  access: 'variance.read',
  summary: 'Compare each box of an accepted collection with its meters',
  description: 'Coins and notes apart. What meters do not say is named with the reason; where a reading was missed, all that was counted since is compared.',
  params: idParamsSchema,
  answer: collectionVariancesSchema,
  problems: ['being-counted'],
} as const;
const flags = {
  access: 'variance.read',
  summary: 'List the flags, open ones first, then by day',
  description: 'Those of sites where you are counting are left out until their collection is accepted.',
  query: varianceFlagListQuerySchema,
  answer: varianceFlagPageSchema,
  problems: ['invalid-cursor'],
} as const;
const flag = {
  access: 'variance.read',
  summary: 'Show a flag with its history and who could have opened the box',
  description: 'The list of people says who could have, not who did.',
  params: idParamsSchema,
  answer: varianceFlagDetailSchema,
  problems: ['being-counted'],
} as const;
const explain = {
  access: 'variance.explain',
  summary: 'Explain a flag',
  description: 'By somebody who neither collected nor counted the box.',
  params: idParamsSchema,
  body: explainVarianceFlagSchema,
  answer: varianceFlagDetailSchema,
  once: true,
  problems: ['wrong-state', 'second-person-needed', 'changed-meanwhile', 'not-allowed-in-state', 'being-counted'],
} as const;
const ruleSets = { access: 'tolerance-rule-set.read', summary: 'List when differences are followed up, latest first', answer: toleranceRuleSetsSchema } as const;
const recordRules = {
  access: 'tolerance-rule-set.record',
  summary: 'Decide when differences are followed up, from a day on',
  description: 'Without one, dollars are followed up above 25.00 and 3 % of metered, and other currencies not at all. Counts in the books stay judged as they were.',
  body: recordToleranceRuleSetSchema,
  answer: toleranceRuleSetSchema,
  status: 201,
  once: true,
  problems: ['invalid-command', 'already-exists'],
} as const;

@Controller('v1')
export class VarianceController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get('variances')
  @Endpoint(month)
  month(@Asked() { caller, query }: AskedFor<typeof month>) {
    return readVarianceMonth(this.backoffice, caller, query);
  }

  @Get('variances/attribution')
  @Endpoint(attribution)
  attribution(@Asked() { caller, query }: AskedFor<typeof attribution>) {
    return readAttribution(this.backoffice, caller, query);
  }

  @Get('variances/report')
  @Endpoint(report)
  report(@Asked() { caller, query }: AskedFor<typeof report>) {
    return readVarianceReport(this.backoffice, caller, query);
  }

  @Get('variances/report/export')
  @Endpoint(reportFile)
  exportReport(@Asked() { caller, query }: AskedFor<typeof reportFile>) {
    return exportVarianceReport(this.backoffice, caller, query);
  }

  @Get('machines/:id/variances')
  @Endpoint(chart)
  chart(@Asked() { caller, params, query }: AskedFor<typeof chart>) {
    return readVarianceChart(this.backoffice, caller, { ...params, ...query });
  }

  @Get('collections/:id/variances')
  @Endpoint(ofCollection)
  ofCollection(@Asked() { caller, params }: AskedFor<typeof ofCollection>) {
    return readCollectionVariances(this.backoffice, caller, params);
  }

  @Get('variance-flags')
  @Endpoint(flags)
  flags(@Asked() { caller, query }: AskedFor<typeof flags>) {
    return listFlags(this.backoffice, caller, query);
  }

  @Get('variance-flags/:id')
  @Endpoint(flag)
  flag(@Asked() { caller, params }: AskedFor<typeof flag>) {
    return readFlag(this.backoffice, caller, params);
  }

  @Post('variance-flags/:id/explanation')
  @Endpoint(explain)
  explain(@Asked() { caller, params, body }: AskedFor<typeof explain>) {
    return explainFlag(this.backoffice, caller, { ...params, ...body });
  }

  @Get('tolerance-rule-sets')
  @Endpoint(ruleSets)
  ruleSets(@Asked() { caller }: AskedFor<typeof ruleSets>) {
    return listRuleSets(this.backoffice, caller);
  }

  @Post('tolerance-rule-sets')
  @Endpoint(recordRules)
  recordRules(@Asked() { caller, body }: AskedFor<typeof recordRules>) {
    return recordRuleSet(this.backoffice, caller, body);
  }
}
