import { Controller, Get, Inject, Patch, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { changePlacement } from '#backoffice/placement/change';
import { createPlacement } from '#backoffice/placement/create';
import { endPlacement } from '#backoffice/placement/end';
import { movePlacement } from '#backoffice/placement/move';
import { listPlacements, readPlacement } from '#backoffice/placement/read';
import { idParamsSchema } from '#contracts/format';
import {
  changePlacementSchema,
  createPlacementSchema,
  endPlacementSchema,
  movePlacementSchema,
  placementListQuerySchema,
  placementMoveSchema,
  placementPageSchema,
  placementSchema,
} from '#contracts/placement';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'placement.read', summary: 'List the placements, the latest first', query: placementListQuerySchema, answer: placementPageSchema, problems: ['invalid-cursor'] } as const;
const read = { access: 'placement.read', summary: 'Read a placement', params: idParamsSchema, answer: placementSchema, revision: 'shown' } as const;
const create = {
  access: 'placement.create',
  summary: 'Place a machine at a site',
  body: createPlacementSchema,
  status: 201,
  answer: placementSchema,
  once: true,
  revision: 'shown',
  problems: ['invalid-command', 'already-exists'],
} as const;
const change = {
  access: 'placement.change',
  summary: 'Correct the days of a placement',
  params: idParamsSchema,
  body: changePlacementSchema,
  answer: placementSchema,
  revision: 'needed',
  problems: ['invalid-command', 'already-exists'],
} as const;
const end = {
  access: 'placement.end',
  summary: 'Take a machine away from its site',
  params: idParamsSchema,
  body: endPlacementSchema,
  answer: placementSchema,
  once: true,
  revision: 'shown',
  problems: ['invalid-command', 'wrong-state'],
} as const;
const move = {
  access: 'placement.move',
  summary: 'Move a machine to another site',
  description: 'Ends this placement and begins one at the other site on the same day, or does neither.',
  params: idParamsSchema,
  body: movePlacementSchema,
  status: 201,
  answer: placementMoveSchema,
  once: true,
  problems: ['invalid-command', 'already-exists', 'wrong-state'],
} as const;

@Controller('v1/placements')
export class PlacementController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listPlacements(this.backoffice, caller, query);
  }

  @Get(':id')
  @Endpoint(read)
  read(@Asked() { caller, params }: AskedFor<typeof read>) {
    return readPlacement(this.backoffice, caller, params);
  }

  @Post()
  @Endpoint(create)
  create(@Asked() { caller, body }: AskedFor<typeof create>) {
    return createPlacement(this.backoffice, caller, body);
  }

  @Patch(':id')
  @Endpoint(change)
  change(@Asked() { caller, params, body, expectedRevision }: AskedFor<typeof change>) {
    return changePlacement(this.backoffice, caller, { id: params.id, expectedRevision, change: body });
  }

  @Post(':id/end')
  @Endpoint(end)
  end(@Asked() { caller, params, body }: AskedFor<typeof end>) {
    return endPlacement(this.backoffice, caller, { ...body, id: params.id });
  }

  @Post(':id/move')
  @Endpoint(move)
  move(@Asked() { caller, params, body }: AskedFor<typeof move>) {
    return movePlacement(this.backoffice, caller, { ...body, placementId: params.id });
  }
}
