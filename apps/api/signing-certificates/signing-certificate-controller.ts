import { Controller, Get, Inject, Post } from '@nestjs/common';
import { bringCertificate } from '#backoffice/certificate/own';
import { listCertificates } from '#backoffice/certificate/read';
import type { Backoffice } from '#backoffice/dependencies';
import { confirmRevocation, revokeCertificate } from '#backoffice/certificate/revoke';
import { idParamsSchema } from '#contracts/format';
import { bringCertificateSchema, revokeCertificateSchema, signingCertificateListSchema, signingCertificateSchema } from '#contracts/signing-certificate';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'signing-key.read', summary: 'List the certificates that statements are signed under', answer: signingCertificateListSchema } as const;
const bring = {
  access: 'signing-key.change',
  guessable: true,
  summary: 'Sign under another certificate, of your own or made here',
  description: 'From now, or from `inUseFrom`, on statements are signed under it; those before stay under the certificate of their time. A key and a certificate are made when the first statement is issued, and later ones when you say so by `madeHere`; nothing takes the place of one that has expired or is revoked by itself. Batches that waited for it go on. A key may also lie elsewhere, in a token for one, where the signing command of the installation (`SIGNING_COMMAND`) reaches it: then the certificate alone is sent.',
  body: bringCertificateSchema,
  status: 201,
  answer: signingCertificateSchema,
  once: true,
  problems: ['invalid-command', 'already-exists'],
} as const;

const revoke = {
  access: 'signing-key.change',
  summary: 'Revoke a certificate',
  description: 'Nothing is signed under it from now on, for good. If it is the one in use, statements wait until another one is put to use; no earlier one takes its place by itself. Whoever asks about a statement in which it lies is told. A time before now counts once a second person has confirmed it: until then, now does.',
  params: idParamsSchema,
  body: revokeCertificateSchema,
  answer: signingCertificateSchema,
  once: true,
  problems: ['invalid-command'],
} as const;
const confirm = {
  access: 'signing-key.confirm-revocation',
  summary: 'Confirm from when on a certificate is revoked',
  description: 'By somebody else than who recorded it.',
  params: idParamsSchema,
  answer: signingCertificateSchema,
  once: true,
  problems: ['wrong-state', 'second-person-needed'],
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

  @Post(':id/revocation')
  @Endpoint(revoke)
  revoke(@Asked() { caller, params, body }: AskedFor<typeof revoke>) {
    return revokeCertificate(this.backoffice, caller, { ...params, ...body });
  }

  @Post(':id/revocation/confirmation')
  @Endpoint(confirm)
  confirm(@Asked() { caller, params }: AskedFor<typeof confirm>) {
    return confirmRevocation(this.backoffice, caller, params);
  }
}
