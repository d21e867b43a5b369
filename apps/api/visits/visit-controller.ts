import { Controller, Get, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { listDevices, registerDevice, releaseDevice, revokeDevice } from '#backoffice/device/device';
import { enterPaperVisit } from '#backoffice/visit/paper';
import { discardVisit, enterKeptVisit, listBags, listVisits, readVisit, seeWithdrawnVisit } from '#backoffice/visit/rule';
import { withdrawVisit } from '#backoffice/visit/withdraw';
import { sendVisit } from '#backoffice/visit/send';
import { collectionSchema } from '#contracts/collection';
import { idParamsSchema } from '#contracts/format';
import {
  collectionBagsSchema,
  deviceSchema,
  devicesSchema,
  discardVisitSchema,
  enterVisitSchema,
  paperVisitSchema,
  phoneVisitListQuerySchema,
  phoneVisitPageSchema,
  phoneVisitSchema,
  registerDeviceSchema,
  registeredDeviceSchema,
  releaseDeviceSchema,
  revokeDeviceSchema,
  sendVisitSchema,
  visitSentSchema,
  visitWithdrawnSchema,
  withdrawVisitSchema,
} from '#contracts/visit';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const devices = { access: 'device.read', summary: 'List phones on which visits are entered', answer: devicesSchema } as const;
const register = { access: 'device.register', summary: 'Register the phone in your hand', body: registerDeviceSchema, answer: registeredDeviceSchema, status: 201, once: true, problems: ['already-exists', 'device-not-released'] } as const;
const revoke = { access: 'device.revoke', summary: 'Revoke a phone', description: 'What it still sends is kept aside for the office.', params: idParamsSchema, body: revokeDeviceSchema, answer: deviceSchema, once: true } as const;
const release = {
  access: 'device.release',
  summary: 'Release the account of a revoked phone, so that it may register another',
  params: idParamsSchema,
  body: releaseDeviceSchema,
  answer: deviceSchema,
  once: true,
  problems: ['wrong-state', 'second-person-needed'],
} as const;
const send = {
  access: 'visit.send',
  summary: 'Send a visit from the phone on which it was entered',
  description: 'Taken once under the id that the phone made. A visit that cannot be entered is kept for the office to settle: it is not lost, and the phone may forget it.',
  body: sendVisitSchema,
  answer: visitSentSchema,
  status: 201,
  once: true,
  problems: ['invalid-command', 'visit-differs', 'visit-out-of-order'],
} as const;
const paper = {
  access: 'collection.create',
  summary: 'Enter a visit that was made without a phone',
  description: 'With all that belongs to it in one piece, as a phone would send it: counts or sealed bags, readings, slips, cash handed to the site.',
  body: paperVisitSchema,
  answer: collectionSchema,
  status: 201,
  once: true,
  revision: 'shown',
  problems: ['invalid-command', 'already-exists', 'no-agreement'],
} as const;
const list = { access: 'visit.read', summary: 'List visits as phones sent them, the latest first', query: phoneVisitListQuerySchema, answer: phoneVisitPageSchema, problems: ['invalid-cursor'] } as const;
const read = { access: 'visit.read', summary: 'Show a visit as a phone sent it', params: idParamsSchema, answer: phoneVisitSchema } as const;
const enter = {
  access: 'visit.rule',
  summary: 'Enter a visit that was kept aside, as it is right',
  params: idParamsSchema,
  body: enterVisitSchema,
  answer: phoneVisitSchema,
  once: true,
  problems: ['invalid-command', 'already-exists', 'no-agreement', 'wrong-state'],
} as const;
const discard = { access: 'visit.rule', summary: 'Discard a visit that was kept aside', params: idParamsSchema, body: discardVisitSchema, answer: phoneVisitSchema, once: true, problems: ['wrong-state'] } as const;
const withdraw = {
  access: 'visit.withdraw',
  summary: 'Withdraw a visit that was kept aside',
  description: 'Whoever collects withdraws their own. It stays on the list of kept visits, with the reason, and is entered by nobody any more.',
  params: idParamsSchema,
  body: withdrawVisitSchema,
  answer: visitWithdrawnSchema,
  once: true,
  problems: ['wrong-state'],
} as const;
const seen = {
  access: 'visit.see',
  summary: 'Note that a withdrawn visit was seen',
  description: 'By somebody else than who made or withdrew it. Until then it is listed as not seen.',
  params: idParamsSchema,
  answer: phoneVisitSchema,
  once: true,
  problems: ['wrong-state', 'second-person-needed'],
} as const;
const bags = { access: 'collection.read', summary: 'List the sealed bags of a collection', params: idParamsSchema, answer: collectionBagsSchema } as const;

@Controller('v1')
export class VisitController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get('devices')
  @Endpoint(devices)
  devices(@Asked() { caller }: AskedFor<typeof devices>) {
    return listDevices(this.backoffice, caller);
  }

  @Post('devices')
  @Endpoint(register)
  register(@Asked() { caller, body }: AskedFor<typeof register>) {
    return registerDevice(this.backoffice, caller, body);
  }

  @Post('devices/:id/revoke')
  @Endpoint(revoke)
  revoke(@Asked() { caller, params, body }: AskedFor<typeof revoke>) {
    return revokeDevice(this.backoffice, caller, { ...body, id: params.id });
  }

  @Post('devices/:id/release')
  @Endpoint(release)
  release(@Asked() { caller, params, body }: AskedFor<typeof release>) {
    return releaseDevice(this.backoffice, caller, { ...body, id: params.id });
  }

  @Post('visits')
  @Endpoint(send)
  send(@Asked() { caller, body }: AskedFor<typeof send>) {
    return sendVisit(this.backoffice, caller, body);
  }

  @Post('paper-visits')
  @Endpoint(paper)
  paper(@Asked() { caller, body }: AskedFor<typeof paper>) {
    return enterPaperVisit(this.backoffice, caller, body);
  }

  @Get('visits')
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listVisits(this.backoffice, caller, query);
  }

  @Get('visits/:id')
  @Endpoint(read)
  read(@Asked() { caller, params }: AskedFor<typeof read>) {
    return readVisit(this.backoffice, caller, params);
  }

  @Post('visits/:id/enter')
  @Endpoint(enter)
  enter(@Asked() { caller, params, body }: AskedFor<typeof enter>) {
    return enterKeptVisit(this.backoffice, caller, { ...body, id: params.id });
  }

  @Post('visits/:id/discard')
  @Endpoint(discard)
  discard(@Asked() { caller, params, body }: AskedFor<typeof discard>) {
    return discardVisit(this.backoffice, caller, { ...body, id: params.id });
  }

  @Post('visits/:id/withdraw')
  @Endpoint(withdraw)
  withdraw(@Asked() { caller, params, body }: AskedFor<typeof withdraw>) {
    return withdrawVisit(this.backoffice, caller, { ...body, id: params.id });
  }

  @Post('visits/:id/seen')
  @Endpoint(seen)
  seen(@Asked() { caller, params }: AskedFor<typeof seen>) {
    return seeWithdrawnVisit(this.backoffice, caller, params);
  }

  @Get('collections/:id/bags')
  @Endpoint(bags)
  bags(@Asked() { caller, params }: AskedFor<typeof bags>) {
    return listBags(this.backoffice, caller, { collectionId: params.id });
  }
}
