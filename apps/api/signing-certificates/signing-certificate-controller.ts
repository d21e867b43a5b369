import { Controller, Get, Inject, Post } from '@nestjs/common';
import { bringCertificate } from '#backoffice/certificate/own';
import { listCertificates } from '#backoffice/certificate/read';
import type { Backoffice } from '#backoffice/dependencies';
import { bringCertificateSchema, signingCertificateListSchema, signingCertificateSchema } from '#contracts/signing-certificate';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'signing-key.read', summary: 'List the certificates that statements are signed under', answer: signingCertificateListSchema } as const;
const bring = {
  access: 'signing-key.change',
  guessable: true,
  summary: 'Sign under a certificate of your own',
  description: 'From now on statements are signed under it. Without one, a key and a certificate are made when the first statement is issued.',
  body: bringCertificateSchema,
  status: 201,
  answer: signingCertificateSchema,
  once: true,
  problems: ['invalid-command', 'already-exists'],
} as const;

@Controller('v1/signing-certificates')
export class SigningCertificateController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller }: AskedFor<typeof list>) {
    return listCertificates(this.backoffice, caller);
  }

  @Post()
  @Endpoint(bring)
  bring(@Asked() { caller, body }: AskedFor<typeof bring>) {
    return bringCertificate(this.backoffice, caller, body);
  }
}
