import { Controller, Get, Inject, Post } from '@nestjs/common';
import { listCustodyEvents, readCustodyEvent } from '#backoffice/custody/read';
import { readCustodyReceipt } from '#backoffice/custody/receipt';
import { recordCustody } from '#backoffice/custody/record';
import type { Backoffice } from '#backoffice/dependencies';
import { custodyEventListQuerySchema, custodyEventPageSchema, custodyEventSchema, recordCustodySchema } from '#contracts/custody';
import { idParamsSchema } from '#contracts/format';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'custody-event.read', summary: 'List what happened to keys, last recorded first', query: custodyEventListQuerySchema, answer: custodyEventPageSchema, problems: ['invalid-cursor'] } as const;
const read = { access: 'custody-event.read', summary: 'Read an event of custody', params: idParamsSchema, answer: custodyEventSchema } as const;
const receipt = {
  access: 'custody-event.read',
  summary: 'Download a signed receipt for keys that somebody gave to somebody',
  description: 'A PDF with the head of the evidence log at this moment, and a proof that the event lies under it.',
  params: idParamsSchema,
  file: 'application/pdf',
  costly: true,
  problems: ['wrong-state', 'key-out-of-reach', 'no-certificate'],
} as const;
const record = {
  access: 'custody-event.record',
  summary: 'Record what happened to keys',
  description:
    'Nothing recorded is ever changed: a correction is one more event, by somebody else than who recorded the first. A cash-box key is given to nobody employed by a site; one that is found or seen there is taken down, with a day to put it right.',
  body: recordCustodySchema,
  status: 201,
  answer: custodyEventSchema,
  once: true,
  problems: ['invalid-command', 'already-exists', 'wrong-state', 'second-person-needed', 'changed-meanwhile'],
} as const;

@Controller('v1/custody-events')
export class CustodyEventController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listCustodyEvents(this.backoffice, caller, query);
  }

  @Get(':id')
  @Endpoint(read)
  read(@Asked() { caller, params }: AskedFor<typeof read>) {
    return readCustodyEvent(this.backoffice, caller, params);
  }

  @Get(':id/receipt')
  @Endpoint(receipt)
  receipt(@Asked() { caller, params }: AskedFor<typeof receipt>) {
    return readCustodyReceipt(this.backoffice, caller, params);
  }

  @Post()
  @Endpoint(record)
  record(@Asked() { caller, body }: AskedFor<typeof record>) {
    return recordCustody(this.backoffice, caller, body);
  }
}
