import { Controller, Get, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { decidePolicy } from '#backoffice/policy/decide';
import { listRelaxedRecords, readPolicies } from '#backoffice/policy/read';
import { decidePolicySchema, policiesSchema, relaxedRecordPageSchema, relaxedRecordQuerySchema } from '#contracts/policy';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const read = { access: 'policy.read', summary: 'Show which rules the owner relaxed, now and before', answer: policiesSchema } as const;
const decide = {
  access: 'policy.decide',
  summary: 'Decide which rules are relaxed',
  description: 'From now or a later moment on, never backwards. One person alone is allowed only while nobody else could be the second; each record made so is labelled.',
  body: decidePolicySchema,
  answer: policiesSchema,
  status: 201,
  once: true,
  problems: ['invalid-command', 'already-exists'],
} as const;
const relaxed = {
  access: 'policy.read',
  summary: 'List the records that a rule would have refused, had it not been relaxed, the latest first',
  query: relaxedRecordQuerySchema,
  answer: relaxedRecordPageSchema,
  problems: ['invalid-cursor'],
} as const;

@Controller('v1/policy')
export class PolicyController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(read)
  read(@Asked() { caller }: AskedFor<typeof read>) {
    return readPolicies(this.backoffice, caller);
  }

  @Post()
  @Endpoint(decide)
  decide(@Asked() { caller, body }: AskedFor<typeof decide>) {
    return decidePolicy(this.backoffice, caller, body);
  }

  @Get('relaxed-records')
  @Endpoint(relaxed)
  relaxed(@Asked() { caller, query }: AskedFor<typeof relaxed>) {
    return listRelaxedRecords(this.backoffice, caller, query);
  }
}
