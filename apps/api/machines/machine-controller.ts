import { Controller, Get, Inject, Patch, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { changeMachine } from '#backoffice/machine/change';
import { createMachine } from '#backoffice/machine/create';
import { listMachines, readMachine } from '#backoffice/machine/read';
import { idParamsSchema } from '#contracts/format';
import { changeMachineSchema, createMachineSchema, machineListQuerySchema, machinePageSchema, machineSchema } from '#contracts/machine';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'machine.read', summary: 'List the machines', query: machineListQuerySchema, answer: machinePageSchema, problems: ['invalid-cursor'] } as const;
const read = { access: 'machine.read', summary: 'Read a machine', params: idParamsSchema, answer: machineSchema, revision: 'shown' } as const;
const create = {
  access: 'machine.create',
  summary: 'Record a machine',
  body: createMachineSchema,
  status: 201,
  answer: machineSchema,
  once: true,
  revision: 'shown',
  problems: ['invalid-command', 'already-exists'],
} as const;
const change = {
  access: 'machine.change',
  summary: 'Change a machine',
  params: idParamsSchema,
  body: changeMachineSchema,
  answer: machineSchema,
  revision: 'needed',
  problems: ['invalid-command', 'already-exists'],
} as const;

@Controller('v1/machines')
export class MachineController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listMachines(this.backoffice, caller, query);
  }

  @Get(':id')
  @Endpoint(read)
  read(@Asked() { caller, params }: AskedFor<typeof read>) {
    return readMachine(this.backoffice, caller, params);
  }

  @Post()
  @Endpoint(create)
  create(@Asked() { caller, body }: AskedFor<typeof create>) {
    return createMachine(this.backoffice, caller, body);
  }

  @Patch(':id')
  @Endpoint(change)
  change(@Asked() { caller, params, body, expectedRevision }: AskedFor<typeof change>) {
    return changeMachine(this.backoffice, caller, { id: params.id, expectedRevision, change: body });
  }
}
