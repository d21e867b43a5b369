import { Controller, Get, Inject, Patch, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { changeGame } from '#backoffice/game/change';
import { createGame } from '#backoffice/game/create';
import { listGames, readGame } from '#backoffice/game/read';
import { idParamsSchema } from '#contracts/format';
import { changeGameSchema, createGameSchema, gameListQuerySchema, gamePageSchema, gameSchema } from '#contracts/game';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const list = { access: 'game.read', summary: 'List the games', query: gameListQuerySchema, answer: gamePageSchema, problems: ['invalid-cursor'] } as const;
const read = { access: 'game.read', summary: 'Read a game', params: idParamsSchema, answer: gameSchema, revision: 'shown' } as const;
const create = {
  access: 'game.create',
  summary: 'Record a game',
  body: createGameSchema,
  status: 201,
  answer: gameSchema,
  once: true,
  revision: 'shown',
  problems: ['invalid-command', 'already-exists'],
} as const;
const change = {
  access: 'game.change',
  summary: 'Change a game',
  params: idParamsSchema,
  body: changeGameSchema,
  answer: gameSchema,
  revision: 'needed',
  problems: ['invalid-command', 'already-exists'],
} as const;

@Controller('v1/games')
export class GameController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get()
  @Endpoint(list)
  list(@Asked() { caller, query }: AskedFor<typeof list>) {
    return listGames(this.backoffice, caller, query);
  }

  @Get(':id')
  @Endpoint(read)
  read(@Asked() { caller, params }: AskedFor<typeof read>) {
    return readGame(this.backoffice, caller, params);
  }

  @Post()
  @Endpoint(create)
  create(@Asked() { caller, body }: AskedFor<typeof create>) {
    return createGame(this.backoffice, caller, body);
  }

  @Patch(':id')
  @Endpoint(change)
  change(@Asked() { caller, params, body, expectedRevision }: AskedFor<typeof change>) {
    return changeGame(this.backoffice, caller, { id: params.id, expectedRevision, change: body });
  }
}
