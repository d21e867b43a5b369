import { Controller, Delete, Get, Inject, Patch, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { changeWebhook, removeWebhook, rotateWebhookSecret } from '#backoffice/webhook/change';
import { createWebhook } from '#backoffice/webhook/create';
import { listDeliveries, listWebhooks, readDelivery, readWebhook } from '#backoffice/webhook/read';
import { replayDelivery, replayWebhook, testWebhook } from '#backoffice/webhook/send-again';
import { idParamsSchema } from '#contracts/format';
import {
  changeWebhookSchema,
  createWebhookSchema,
  replayWebhookSchema,
  rotateWebhookSecretSchema,
  webhookDeliveryDetailSchema,
  webhookDeliveryListQuerySchema,
  webhookDeliveryPageSchema,
  webhookDeliverySchema,
  webhookListSchema,
  webhookReplayedSchema,
  webhookSchema,
  webhookWithSecretSchema,
} from '#contracts/webhook';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { API_OPTIONS, BACKOFFICE, type ApiOptions } from '../options';

const list = { access: 'webhook.read', summary: 'List the webhooks', answer: webhookListSchema } as const;
const read = { access: 'webhook.read', summary: 'Read a webhook', params: idParamsSchema, answer: webhookSchema, revision: 'shown' } as const;
const create = { access: 'webhook.create', summary: 'Make a webhook', body: createWebhookSchema, status: 201, answer: webhookWithSecretSchema, once: true, problems: ['invalid-command', 'already-exists', 'webhook-limit'] } as const;
const change = { access: 'webhook.change', summary: 'Change a webhook, or switch it off or on', params: idParamsSchema, body: changeWebhookSchema, answer: webhookSchema, revision: 'needed', problems: ['invalid-command', 'wrong-state'] } as const;
const remove = { access: 'webhook.remove', summary: 'Remove a webhook for good', params: idParamsSchema, status: 204, problems: ['wrong-state'] } as const;
const rotate = { access: 'webhook.rotate-secret', summary: 'Make a new secret for a webhook', params: idParamsSchema, body: rotateWebhookSecretSchema, answer: webhookWithSecretSchema, once: true, problems: ['wrong-state'] } as const;
const sendTest = { access: 'webhook.test', summary: 'Send a test to a webhook', params: idParamsSchema, status: 202, answer: webhookDeliverySchema, once: true, problems: ['wrong-state'] } as const;
const replay = { access: 'webhook.replay', summary: 'Send again what a webhook was told since a moment', params: idParamsSchema, body: replayWebhookSchema, status: 202, answer: webhookReplayedSchema, once: true, problems: ['wrong-state'] } as const;
const deliveries = { access: 'webhook.read', summary: 'List what a webhook was told', params: idParamsSchema, query: webhookDeliveryListQuerySchema, answer: webhookDeliveryPageSchema, problems: ['invalid-cursor'] } as const;
const delivery = { access: 'webhook.read', summary: 'Read one delivery with its attempts', params: idParamsSchema, answer: webhookDeliveryDetailSchema } as const;
const replayOne = { access: 'webhook.replay', summary: 'Send one delivery again', params: idParamsSchema, status: 202, answer: webhookDeliverySchema, once: true, problems: ['wrong-state'] } as const;

@Controller('v1')
export class WebhookController {
  constructor(
    @Inject(BACKOFFICE) private readonly backoffice: Backoffice,
    @Inject(API_OPTIONS) private readonly options: ApiOptions,
  ) {}

  @Get('webhooks')
  @Endpoint(list)
  listWebhooks(@Asked() { caller }: AskedFor<typeof list>) {
    return listWebhooks(this.backoffice, caller);
  }

  @Get('webhooks/:id')
  @Endpoint(read)
  read(@Asked() { caller, params }: AskedFor<typeof read>) {
    return readWebhook(this.backoffice, caller, params);
  }

  @Post('webhooks')
  @Endpoint(create)
  create(@Asked() { caller, body }: AskedFor<typeof create>) {
    return createWebhook({ ...this.backoffice, whyUnreachable: this.options.whyUnreachable }, caller, body);
  }

  @Patch('webhooks/:id')
  @Endpoint(change)
  change(@Asked() { caller, params, body, expectedRevision }: AskedFor<typeof change>) {
    return changeWebhook({ ...this.backoffice, whyUnreachable: this.options.whyUnreachable }, caller, { id: params.id, expectedRevision, change: body });
  }

  @Delete('webhooks/:id')
  @Endpoint(remove)
  remove(@Asked() { caller, params }: AskedFor<typeof remove>) {
    return removeWebhook(this.backoffice, caller, params);
  }

  @Post('webhooks/:id/rotate-secret')
  @Endpoint(rotate)
  rotateWebhookSecret(@Asked() { caller, params, body }: AskedFor<typeof rotate>) {
    return rotateWebhookSecret(this.backoffice, caller, { ...params, ...body });
  }

  @Post('webhooks/:id/test')
  @Endpoint(sendTest)
  test(@Asked() { caller, params }: AskedFor<typeof sendTest>) {
    return testWebhook(this.backoffice, caller, params);
  }

  @Post('webhooks/:id/replay')
  @Endpoint(replay)
  replay(@Asked() { caller, params, body }: AskedFor<typeof replay>) {
    return replayWebhook(this.backoffice, caller, { ...params, ...body });
  }

  @Get('webhooks/:id/deliveries')
  @Endpoint(deliveries)
  listWebhookDeliveries(@Asked() { caller, params, query }: AskedFor<typeof deliveries>) {
    return listDeliveries(this.backoffice, caller, { ...params, ...query });
  }

  @Get('webhook-deliveries/:id')
  @Endpoint(delivery)
  readWebhookDelivery(@Asked() { caller, params }: AskedFor<typeof delivery>) {
    return readDelivery(this.backoffice, caller, params);
  }

  @Post('webhook-deliveries/:id/replay')
  @Endpoint(replayOne)
  replayWebhookDelivery(@Asked() { caller, params }: AskedFor<typeof replayOne>) {
    return replayDelivery(this.backoffice, caller, params);
  }
}
