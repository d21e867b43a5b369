import { Controller, Get, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { attestKeys, closeKeyInventory, countKeys, openKeyInventory, recordSurplusKey } from '#backoffice/key-inventory/count';
import { listKeyInventories, readKeyInventory } from '#backoffice/key-inventory/read';
import { exportKeyInventorySchedule, readKeyInventorySchedule } from '#backoffice/key-inventory/schedule';
import { idParamsSchema } from '#contracts/format';
import {
  attestedKeysSchema,
  attestKeysSchema,
  closeKeyInventorySchema,
  countKeysSchema,
  keyInventoryListQuerySchema,
  keyInventoryPageSchema,
  keyInventoryScheduleSchema,
  keyInventorySchema,
  openKeyInventorySchema,
  surplusKeySchema,
} from '#contracts/key-inventory';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'key-inventory.read', summary: 'List inventories of keys', query: keyInventoryListQuerySchema, answer: keyInventoryPageSchema, problems: ['invalid-cursor'] } as const;
const schedule = { access: 'key-inventory.read', summary: 'Show when keys are to be counted and locks to be changed', answer: keyInventoryScheduleSchema } as const;
const scheduleFile = { access: 'key-inventory.read', summary: 'Download when keys are to be counted and locks to be changed as CSV', file: 'text/csv; charset=utf-8' } as const;
const read = { access: 'key-inventory.read', summary: 'Read an inventory of keys', params: idParamsSchema, answer: keyInventorySchema } as const;
const open = {
  access: 'key-inventory.open',
  summary: 'Open an inventory of keys',
  body: openKeyInventorySchema,
  answer: keyInventorySchema,
  status: 201,
  once: true,
  problems: ['invalid-command', 'already-exists'],
} as const;
const seen = {
  access: 'key-inventory.count',
  summary: 'Count keys that you saw',
  description: 'Each copy is recorded as seen, or found if it was missing. Nobody counts what they keep themselves.',
  params: idParamsSchema,
  body: countKeysSchema,
  answer: keyInventorySchema,
  once: true,
  problems: ['invalid-command', 'wrong-state', 'second-person-needed', 'wrong-person', 'changed-meanwhile'],
} as const;
const attest = {
  access: 'key-inventory.attest',
  summary: 'Attest that you have keys',
  params: idParamsSchema,
  body: attestKeysSchema,
  answer: attestedKeysSchema,
  once: true,
  problems: ['invalid-command', 'wrong-state', 'changed-meanwhile'],
} as const;
const surplus = {
  access: 'key-inventory.count',
  summary: 'Record a key that is in no books',
  params: idParamsSchema,
  body: surplusKeySchema,
  answer: keyInventorySchema,
  once: true,
  problems: ['invalid-command', 'wrong-state'],
} as const;
const close = {
  access: 'key-inventory.close',
  summary: 'Close an inventory with its result',
  description: 'The result stays as it is: per code made + duplicated - destroyed = in stores + with holders + missing, and whatever does not fit is named.',
  params: idParamsSchema,
  body: closeKeyInventorySchema,
  answer: keyInventorySchema,
  once: true,
  problems: ['wrong-state'],
} as const;

@Controller('v1')
export class KeyInventoryController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get('key-inventory-schedule')
  @Endpoint(schedule)
  schedule(@Asked() { caller }: AskedFor<typeof schedule>) {
    return readKeyInventorySchedule(this.backoffice, caller);
  }

  @Get('key-inventory-schedule/export')
  @Endpoint(scheduleFile)
  exportSchedule(@Asked() { caller }: AskedFor<typeof scheduleFile>) {
    return exportKeyInventorySchedule(this.backoffice, caller);
  }

  @Get('key-inventories')
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listKeyInventories(this.backoffice, caller, query);
  }

  @Post('key-inventories')
  @Endpoint(open)
  open(@Asked() { caller, body }: AskedFor<typeof open>) {
    return openKeyInventory(this.backoffice, caller, body);
  }

  @Get('key-inventories/:id')
  @Endpoint(read)
  read(@Asked() { caller, params }: AskedFor<typeof read>) {
    return readKeyInventory(this.backoffice, caller, params);
  }

  @Post('key-inventories/:id/seen')
  @Endpoint(seen)
  seen(@Asked() { caller, params, body }: AskedFor<typeof seen>) {
    return countKeys(this.backoffice, caller, { ...body, id: params.id });
  }

  @Post('key-inventories/:id/attest')
  @Endpoint(attest)
  attest(@Asked() { caller, params, body }: AskedFor<typeof attest>) {
    return attestKeys(this.backoffice, caller, { ...body, id: params.id });
  }

  @Post('key-inventories/:id/surplus')
  @Endpoint(surplus)
  surplus(@Asked() { caller, params, body }: AskedFor<typeof surplus>) {
    return recordSurplusKey(this.backoffice, caller, { ...body, id: params.id });
  }

  @Post('key-inventories/:id/close')
  @Endpoint(close)
  close(@Asked() { caller, params, body }: AskedFor<typeof close>) {
    return closeKeyInventory(this.backoffice, caller, { ...body, id: params.id });
  }
}
