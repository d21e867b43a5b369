import { Controller, Get, Inject, Patch } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { changeOperator } from '#backoffice/operator/change';
import { readOperator } from '#backoffice/operator/read';
import { changeOperatorSchema, operatorSchema } from '#contracts/operator';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const read = { access: 'operator.read', summary: 'Read the operator and its settings', answer: operatorSchema, revision: 'shown' } as const;
const change = { access: 'operator.change', summary: 'Change settings of the operator', body: changeOperatorSchema, answer: operatorSchema, revision: 'needed' } as const;

/** The operator that the request is for; there is no way to name another one. */
@Controller('v1/operator')
export class OperatorController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(read)
  readOperator(@Asked() { caller }: AskedFor<typeof read>) {
    return readOperator(this.backoffice, caller);
  }

  @Patch()
  @Endpoint(change)
  changeOperator(@Asked() { caller, body, expectedRevision }: AskedFor<typeof change>) {
    return changeOperator(this.backoffice, caller, { ...body, expectedRevision });
  }
}
