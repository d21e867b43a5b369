import { Controller, Inject, Post } from '@nestjs/common';
import { confirmByCustodyLink, denyByCustodyLink, lookAtCustodyLink } from '#backoffice/custody/link';
import type { Backoffice } from '#backoffice/dependencies';
import { custodyConfirmationSchema, custodySecretSchema } from '#contracts/custody-acknowledgement';
import { visitorOf } from '../authentication/visitor';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

// The secret of a link goes in the body, never in an address, so that no log gets to see it.
const look = { access: 'public', guessable: true, summary: 'Say what is confirmed by a link', body: custodySecretSchema, answer: custodyConfirmationSchema, problems: ['link-unusable', 'cross-site-request'] } as const;
const confirm = {
  access: 'public',
  guessable: true,
  summary: 'Confirm by a link that you gave or received a key',
  body: custodySecretSchema,
  answer: custodyConfirmationSchema,
  problems: ['link-unusable', 'confirmed-already', 'wrong-state', 'cross-site-request'],
} as const;
const deny = {
  access: 'public',
  guessable: true,
  summary: 'Say by a link that you did not give or receive a key',
  description: 'It stands beside the event, and in the list of what is not confirmed, as if it was said signed in. Nothing else changes, and until the link expires it can be confirmed all the same.',
  body: custodySecretSchema,
  answer: custodyConfirmationSchema,
  problems: ['link-unusable', 'confirmed-already', 'wrong-state', 'cross-site-request'],
} as const;

@Controller('v1/custody-links')
export class CustodyLinkController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Post('look')
  @Endpoint(look)
  look(@Asked() { body, request }: AskedFor<typeof look>) {
    return lookAtCustodyLink(this.backoffice, visitorOf(request), body);
  }

  @Post('confirm')
  @Endpoint(confirm)
  confirm(@Asked() { body, request }: AskedFor<typeof confirm>) {
    return confirmByCustodyLink(this.backoffice, visitorOf(request), body);
  }

  @Post('deny')
  @Endpoint(deny)
  deny(@Asked() { body, request }: AskedFor<typeof deny>) {
    return denyByCustodyLink(this.backoffice, visitorOf(request), body);
  }
}
