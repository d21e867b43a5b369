import { Controller, Get, Inject } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { readKeyTasks } from '#backoffice/key-task/read';
import { keyTasksSchema } from '#contracts/key-task';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const read = {
  access: 'key-attention.read',
  summary: 'Show people who leave and sites that close with keys out',
  description: 'An entry goes by itself when the keys are back, and nobody who left keeps a store or uses a place.',
  answer: keyTasksSchema,
} as const;

@Controller('v1')
export class KeyTaskController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get('key-tasks')
  @Endpoint(read)
  read(@Asked() { caller }: AskedFor<typeof read>) {
    return readKeyTasks(this.backoffice, caller);
  }
}
