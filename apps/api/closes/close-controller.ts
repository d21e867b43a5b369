import { Controller, Get, Inject, Post } from '@nestjs/common';
import { issueClose, reviewClose, settleMissing } from '#backoffice/close/go-on';
import { listCloses, readClose } from '#backoffice/close/read';
import { startClose } from '#backoffice/close/start';
import type { Backoffice } from '#backoffice/dependencies';
import { archiveStatements } from '#backoffice/statement/archive';
import { askForMails, readMails } from '#backoffice/statement-mail/ask';
import { archiveQuerySchema, closeListQuerySchema, closePageSchema, closeSchema, reviewCloseSchema, startCloseSchema } from '#contracts/close';
import { idParamsSchema } from '#contracts/format';
import { sendStatementMailsSchema, statementMailsSchema } from '#contracts/statement-mail';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { rangeIn } from '../convention/range';
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
const statements = {
  access: 'statement-archive.read',
  summary: 'Download all statements of a close in one ZIP file',
  description: 'Issued statements by number, reversed ones in a folder of their own. `Content-Length` says beforehand how much comes; a download that broke off goes on with `Range: bytes=N-` and `If-Range`.',
  params: idParamsSchema,
  query: archiveQuerySchema,
  file: 'application/zip',
  problems: ['statement-not-issued', 'statement-in-preparation', 'being-counted'],
} as const;
const mails = { access: 'statement-mail.read', summary: 'Show how far the statements of a close are that go out by mail', params: idParamsSchema, answer: statementMailsSchema } as const;
const mail = {
  access: 'statement-mail.send',
  summary: 'Send the statements of a close to the people of their sites',
  description: 'By mail, to every member who is bound to the site, each statement once however often this is asked. They go out in the background.',
  params: idParamsSchema,
  body: sendStatementMailsSchema,
  status: 202,
  answer: statementMailsSchema,
  once: true,
} as const;

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

  @Get(':id/statements')
  @Endpoint(statements)
  statements(@Asked() { caller, params, request }: AskedFor<typeof statements>) {
    return archiveStatements(this.backoffice, caller, { ...params, range: rangeIn(request) });
  }

  @Get(':id/statement-mails')
  @Endpoint(mails)
  mails(@Asked() { caller, params }: AskedFor<typeof mails>) {
    return readMails(this.backoffice, caller, params.id);
  }

  @Post(':id/statement-mails')
  @Endpoint(mail)
  mail(@Asked() { caller, params, body }: AskedFor<typeof mail>) {
    return askForMails(this.backoffice, caller, { ...params, ...body });
  }
}
