import { Module, type DynamicModule } from '@nestjs/common';
import { APP_FILTER, APP_GUARD, APP_INTERCEPTOR } from '@nestjs/core';
import { Gatekeeper } from './authentication/gatekeeper';
import { controllers } from './controllers';
import { AnswerInterceptor } from './convention/answer';
import { ProblemFilter } from './convention/problem-filter';
import { API_OPTIONS, BACKOFFICE, type ApiOptions } from './options';

@Module({})
export class ApiModule {
  static with(options: ApiOptions): DynamicModule {
    return {
      module: ApiModule,
      controllers: [...controllers],
      providers: [
        { provide: API_OPTIONS, useValue: options },
        { provide: BACKOFFICE, useValue: options.backoffice },
        { provide: APP_GUARD, useClass: Gatekeeper },
        { provide: APP_INTERCEPTOR, useClass: AnswerInterceptor },
        { provide: APP_FILTER, useClass: ProblemFilter },
      ],
    };
  }
}
