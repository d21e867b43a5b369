import type { Type } from '@nestjs/common';
import { ApiTokenController } from './api-tokens/api-token-controller';
import { HealthController } from './health/health-controller';

/** Every resource of the API. A new one is added here; its routes, documents and access tests follow from it. */
export const controllers: readonly Type<object>[] = [
  HealthController,
  ApiTokenController,
];
