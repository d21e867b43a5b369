import { Controller, Get, Inject } from '@nestjs/common';
import { done, refused } from '#contracts/outcome';
import { z } from 'zod';
import { Endpoint } from '../convention/endpoint';
import { API_OPTIONS, type ApiOptions } from '../options';

const healthSchema = z.strictObject({ status: z.literal('ok') });

/** For supervisors: `live` fails when the process should be restarted, `ready` when it should get no requests yet. */
@Controller('health')
export class HealthController {
  constructor(@Inject(API_OPTIONS) private readonly options: ApiOptions) {}

  @Get('live')
  @Endpoint({ access: 'public', summary: 'Say that the process runs', answer: healthSchema })
  async live() {
    return done({ status: 'ok' as const });
  }

  @Get('ready')
  @Endpoint({ access: 'public', summary: 'Say whether requests can be served', answer: healthSchema, problems: ['not-ready'] })
  async ready() {
    return (await this.options.isReady()) ? done({ status: 'ok' as const }) : refused('not-ready');
  }
}
