import { Controller, Inject, Post } from '@nestjs/common';
import { acknowledgeCustody, signCustody } from '#backoffice/custody/acknowledge';
import { denyCustody } from '#backoffice/custody/deny';
import { createCustodyLink } from '#backoffice/custody/link';
import type { Backoffice } from '#backoffice/dependencies';
import { custodyEventSchema } from '#contracts/custody';
import { acknowledgeCustodySchema, createCustodyLinkSchema, custodyLinkSchema, signCustodySchema } from '#contracts/custody-acknowledgement';
import { idParamsSchema } from '#contracts/format';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const refusals = ['wrong-state', 'confirmed-already'] as const;
const acknowledge = {
  access: 'custody.acknowledge',
  summary: 'Confirm that you gave or received a key',
  params: idParamsSchema,
  body: acknowledgeCustodySchema,
  status: 201,
  answer: custodyEventSchema,
  once: true,
  problems: [...refusals, 'wrong-person'],
} as const;
const deny = {
  access: 'custody.acknowledge',
  summary: 'Say that you did not give or receive a key',
  description: 'It stands beside the event, and in the list of what is not confirmed. Nothing else changes until whoever looks after the keys has corrected the event.',
  params: idParamsSchema,
  body: acknowledgeCustodySchema,
  status: 201,
  answer: custodyEventSchema,
  once: true,
  problems: [...refusals, 'wrong-person'],
} as const;
const sign = {
  access: 'custody.sign',
  summary: 'Take the signed receipt of somebody of a site who has no account',
  params: idParamsSchema,
  body: signCustodySchema,
  status: 201,
  answer: custodyEventSchema,
  once: true,
  problems: [...refusals, 'wrong-person', 'invalid-command'],
} as const;
const link = {
  access: 'custody-link.create',
  summary: 'Make a one-use link by which a side confirms without an account',
  params: idParamsSchema,
  body: createCustodyLinkSchema,
  status: 201,
  answer: custodyLinkSchema,
  once: true,
  problems: [...refusals, 'invalid-command', 'already-exists'],
} as const;

@Controller('v1/custody-events/:id')
export class CustodyAcknowledgementController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Post('acknowledgements')
  @Endpoint(acknowledge)
  acknowledge(@Asked() { caller, params, body }: AskedFor<typeof acknowledge>) {
    return acknowledgeCustody(this.backoffice, caller, { ...body, id: params.id });
  }

  @Post('denials')
  @Endpoint(deny)
  deny(@Asked() { caller, params, body }: AskedFor<typeof deny>) {
    return denyCustody(this.backoffice, caller, { ...body, id: params.id });
  }

  @Post('signatures')
  @Endpoint(sign)
  sign(@Asked() { caller, params, body }: AskedFor<typeof sign>) {
    return signCustody(this.backoffice, caller, { ...body, id: params.id });
  }

  @Post('links')
  @Endpoint(link)
  link(@Asked() { caller, params, body }: AskedFor<typeof link>) {
    return createCustodyLink(this.backoffice, caller, { ...body, eventId: params.id });
  }
}
