import { Controller, Get, Inject, Post } from '@nestjs/common';
import { issueClose, reviewClose, settleMissing } from '#backoffice/close/go-on';
import { listCloses, readClose } from '#backoffice/close/read';
import { startClose } from '#backoffice/close/start';
import type { Backoffice } from '#backoffice/dependencies';
import { closeListQuerySchema, closePageSchema, closeSchema, reviewCloseSchema, startCloseSchema } from '#contracts/close';
import { idParamsSchema } from '#contracts/format';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'close.read', summary: 'List the closes, newest period first', query: closeListQuerySchema, answer: closePageSchema, problems: ['invalid-cursor'] } as const;
const start = {
  access: 'close.start',
  summary: 'Close a period for all agreements of a cycle',
  description: 'Answers at once; the settlements are computed in the background. Read the close to see how far it is.',
  body: startCloseSchema,
  status: 202,
  answer: closeSchema,
  once: true,
  problems: ['nothing-to-close', 'period-not-over', 'period-already-closed'],
} as const;
const one = { access: 'close.read', summary: 'Show a close with its progress and failures', params: idParamsSchema, answer: closeSchema } as const;
const missing = {
  access: 'close.start',
  summary: 'Settle what a close could not settle, and agreements that came later',
  params: idParamsSchema,
  status: 202,
  answer: closeSchema,
  once: true,
} as const;
const review = { access: 'settlement.review', summary: 'Review drafts of a close', params: idParamsSchema, body: reviewCloseSchema, status: 202, answer: closeSchema, once: true } as const;
const issue = { access: 'settlement.issue', summary: 'Issue what is reviewed in a close', params: idParamsSchema, status: 202, answer: closeSchema, once: true } as const;

@Controller('v1/closes')
export class CloseController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listCloses(this.backoffice, caller, query);
  }

  @Post()
  @Endpoint(start)
  start(@Asked() { caller, body }: AskedFor<typeof start>) {
    return startClose(this.backoffice, caller, body);
  }

  @Get(':id')
  @Endpoint(one)
  one(@Asked() { caller, params }: AskedFor<typeof one>) {
    return readClose(this.backoffice, caller, params.id);
  }

  @Post(':id/settle-missing')
  @Endpoint(missing)
  missing(@Asked() { caller, params }: AskedFor<typeof missing>) {
    return settleMissing(this.backoffice, caller, params.id);
  }

  @Post(':id/review')
  @Endpoint(review)
  review(@Asked() { caller, params, body }: AskedFor<typeof review>) {
    return reviewClose(this.backoffice, caller, { ...params, ...body });
  }

  @Post(':id/issue')
  @Endpoint(issue)
  issue(@Asked() { caller, params }: AskedFor<typeof issue>) {
    return issueClose(this.backoffice, caller, params.id);
  }
}
