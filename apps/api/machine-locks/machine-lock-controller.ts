import { Controller, Get, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { changeLock, removeLock } from '#backoffice/machine-lock/change';
import { fitLock, fitLocks } from '#backoffice/machine-lock/fit';
import { fitLocksAtSites } from '#backoffice/machine-lock/fit-at-sites';
import { listMachineLocks, readMachineLock } from '#backoffice/machine-lock/read';
import { idParamsSchema } from '#contracts/format';
import { changeLockSchema, fitLockSchema, fitLocksAtSitesSchema, fitLocksSchema, fittedAtSitesSchema, fittedLocksSchema, lockChangeSchema, machineLockListQuerySchema, machineLockPageSchema, machineLockSchema, removeLockSchema } from '#contracts/machine-lock';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'machine-lock.read', summary: 'List the locks', query: machineLockListQuerySchema, answer: machineLockPageSchema, problems: ['invalid-cursor'] } as const;
const read = { access: 'machine-lock.read', summary: 'Read a lock', params: idParamsSchema, answer: machineLockSchema } as const;
const fitOne = {
  access: 'machine-lock.fit',
  summary: 'Record a lock on a machine',
  body: fitLockSchema,
  status: 201,
  answer: machineLockSchema,
  once: true,
  problems: ['invalid-command', 'already-exists'],
} as const;
const fitMany = {
  access: 'machine-lock.fit',
  summary: 'Record up to 500 locks, all or none',
  body: fitLocksSchema,
  status: 201,
  answer: fittedLocksSchema,
  once: true,
  problems: ['invalid-command', 'already-exists'],
} as const;
const fitAtSites = {
  access: 'machine-lock.fit',
  summary: 'Record a lock of one cut on every machine of many sites',
  description: 'Machines that have a lock there already keep it and are named in the answer.',
  body: fitLocksAtSitesSchema,
  status: 201,
  answer: fittedAtSitesSchema,
  once: true,
  problems: ['invalid-command'],
} as const;
const remove = {
  access: 'machine-lock.remove',
  summary: 'Record that a lock was taken off',
  params: idParamsSchema,
  body: removeLockSchema,
  answer: machineLockSchema,
  once: true,
  problems: ['invalid-command'],
} as const;
const change = {
  access: 'machine-lock.change',
  summary: 'Record that a lock was changed for one of another cut',
  params: idParamsSchema,
  body: changeLockSchema,
  answer: lockChangeSchema,
  once: true,
  problems: ['invalid-command', 'already-exists'],
} as const;

@Controller('v1/machine-locks')
export class MachineLockController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listMachineLocks(this.backoffice, caller, query);
  }

  @Get(':id')
  @Endpoint(read)
  read(@Asked() { caller, params }: AskedFor<typeof read>) {
    return readMachineLock(this.backoffice, caller, params);
  }

  @Post()
  @Endpoint(fitOne)
  fitOne(@Asked() { caller, body }: AskedFor<typeof fitOne>) {
    return fitLock(this.backoffice, caller, body);
  }

  @Post('batch')
  @Endpoint(fitMany)
  fitMany(@Asked() { caller, body }: AskedFor<typeof fitMany>) {
    return fitLocks(this.backoffice, caller, body);
  }

  @Post('at-sites')
  @Endpoint(fitAtSites)
  fitAtSites(@Asked() { caller, body }: AskedFor<typeof fitAtSites>) {
    return fitLocksAtSites(this.backoffice, caller, body);
  }

  @Post(':id/removal')
  @Endpoint(remove)
  remove(@Asked() { caller, params, body }: AskedFor<typeof remove>) {
    return removeLock(this.backoffice, caller, { id: params.id, ...body });
  }

  @Post(':id/change')
  @Endpoint(change)
  change(@Asked() { caller, params, body }: AskedFor<typeof change>) {
    return changeLock(this.backoffice, caller, { lockId: params.id, ...body });
  }
}
