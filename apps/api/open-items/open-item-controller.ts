import { Controller, Get, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { exportAgeing, readAgeing } from '#backoffice/open-item/ageing';
import { holdOpenItem, releaseOpenItem } from '#backoffice/open-item/hold';
import { undoWriteOff, writeOffItem } from '#backoffice/open-item/write-off';
import { listOpenItems, readOneOpenItem } from '#backoffice/open-item/read';
import { ageingQuerySchema, ageingSchema } from '#contracts/ageing';
import { idParamsSchema } from '#contracts/format';
import { holdOpenItemSchema, openItemListQuerySchema, openItemPageSchema, openItemSchema, undoWriteOffSchema, writeOffOpenItemSchema } from '#contracts/open-item';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = {
  access: 'open-item.read',
  summary: 'List what settlements left to be paid, oldest first',
  query: openItemListQuerySchema,
  answer: openItemPageSchema,
  problems: ['invalid-cursor'],
} as const;
const aged = {
  access: 'open-item.read',
  summary: 'Show what is owed either way at a day, by age, at all sites',
  description: 'Per agreement and payee, with sums for each currency. What the operator owes and what is owed to it are never set against each other.',
  query: ageingQuerySchema,
  answer: ageingSchema,
} as const;
const agedFile = { access: 'open-item.read', summary: 'Download what is owed either way at a day, by age, as CSV', query: ageingQuerySchema, file: 'text/csv; charset=utf-8' } as const;
const one = { access: 'open-item.read', summary: 'Show an open item', params: idParamsSchema, answer: openItemSchema } as const;
const hold = {
  access: 'open-item.hold',
  summary: 'Hold an item as disputed',
  params: idParamsSchema,
  body: holdOpenItemSchema,
  answer: openItemSchema,
  once: true,
  problems: ['wrong-state', 'busy'],
} as const;
const release = { ...hold, summary: 'Release an item that was held' } as const;

const writeOff = {
  access: 'open-item.write-off',
  summary: 'Write off what is open of an item',
  description: 'The rest is given up and posted to an account of its own; the item is settled by that.',
  params: idParamsSchema,
  body: writeOffOpenItemSchema,
  answer: openItemSchema,
  once: true,
  problems: ['invalid-command', 'wrong-state', 'journal-closed', 'busy'],
} as const;
const undo = { ...writeOff, summary: 'Undo a write-off', description: 'A counter-entry; the rest is open again with its old date.', body: undoWriteOffSchema } as const;

@Controller('v1/open-items')
export class OpenItemController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listOpenItems(this.backoffice, caller, query);
  }

  @Get('ageing')
  @Endpoint(aged)
  ageing(@Asked() { caller, query }: AskedFor<typeof aged>) {
    return readAgeing(this.backoffice, caller, query);
  }

  @Get('ageing/export')
  @Endpoint(agedFile)
  ageingFile(@Asked() { caller, query }: AskedFor<typeof agedFile>) {
    return exportAgeing(this.backoffice, caller, query);
  }

  @Get(':id')
  @Endpoint(one)
  one(@Asked() { caller, params }: AskedFor<typeof one>) {
    return readOneOpenItem(this.backoffice, caller, params.id);
  }

  @Post(':id/hold')
  @Endpoint(hold)
  hold(@Asked() { caller, params, body }: AskedFor<typeof hold>) {
    return holdOpenItem(this.backoffice, caller, { ...params, ...body });
  }

  @Post(':id/release')
  @Endpoint(release)
  release(@Asked() { caller, params, body }: AskedFor<typeof release>) {
    return releaseOpenItem(this.backoffice, caller, { ...params, ...body });
  }

  @Post(':id/write-off')
  @Endpoint(writeOff)
  writeOff(@Asked() { caller, params, body }: AskedFor<typeof writeOff>) {
    return writeOffItem(this.backoffice, caller, { ...params, ...body });
  }

  @Post(':id/undo-write-off')
  @Endpoint(undo)
  undoWriteOff(@Asked() { caller, params, body }: AskedFor<typeof undo>) {
    return undoWriteOff(this.backoffice, caller, { ...params, ...body });
  }
}
