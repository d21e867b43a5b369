import { Controller, Get, Inject } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { listPeriods } from '#backoffice/month-end/periods';
import { listMonthEndAgreements, readMonthEnd } from '#backoffice/month-end/read';
import { monthEndAgreementPageSchema, monthEndAgreementsQuerySchema, monthEndQuerySchema, monthEndSchema, periodPageSchema } from '#contracts/month-end';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const summary = { access: 'close.read', summary: 'Show how far a period is', query: monthEndQuerySchema, answer: monthEndSchema, problems: ['not-found'] } as const;
const periods = { access: 'close.read', summary: 'List the periods of the cycles, newest first', answer: periodPageSchema } as const;
const agreements = {
  access: 'close.read',
  summary: 'List the agreements of a period with their state and figures',
  query: monthEndAgreementsQuerySchema,
  answer: monthEndAgreementPageSchema,
  problems: ['not-found', 'invalid-cursor'],
} as const;

@Controller('v1/month-end')
export class MonthEndController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(summary)
  summary(@Asked() { caller, query }: AskedFor<typeof summary>) {
    return readMonthEnd(this.backoffice, caller, query);
  }

  @Get('periods')
  @Endpoint(periods)
  periods(@Asked() { caller }: AskedFor<typeof periods>) {
    return listPeriods(this.backoffice, caller);
  }

  @Get('agreements')
  @Endpoint(agreements)
  agreements(@Asked() { caller, query }: AskedFor<typeof agreements>) {
    return listMonthEndAgreements(this.backoffice, caller, query);
  }
}
