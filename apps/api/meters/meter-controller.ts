import { Controller, Get, Inject, Post } from '@nestjs/common';
import type { Backoffice } from '#backoffice/dependencies';
import { fitBoard, listBoards, removeBoard } from '#backoffice/meter/boards';
import { correctReading } from '#backoffice/meter/correct';
import { sayWhyNotRead } from '#backoffice/meter/not-read';
import { listOpenings, recordOpening, takeBackOpening } from '#backoffice/meter/opening';
import { correctPrice, listPrices } from '#backoffice/meter/price';
import { listReadings } from '#backoffice/meter/read';
import { listMeterTasks } from '#backoffice/meter/tasks';
import { recordReadings } from '#backoffice/meter/record';
import { idParamsSchema } from '#contracts/format';
import {
  boardOpeningSchema,
  boardOpeningsSchema,
  correctPriceSchema,
  correctReadingSchema,
  counterBoardsSchema,
  fitBoardSchema,
  meterPricesSchema,
  meterReadingsQuerySchema,
  meterReadingsSchema,
  readingCorrectedSchema,
  readingsRecordedSchema,
  recordBoardOpeningSchema,
  recordReadingsSchema,
  removeBoardSchema,
  sayWhyNotReadSchema,
  takeBackBoardOpeningSchema,
  unreadMetersSchema,
} from '#contracts/meter';
import { meterTasksQuerySchema, meterTasksSchema } from '#contracts/meter-task';
import { Asked } from '../convention/asked';
import { Endpoint, type AskedFor } from '../convention/endpoint';
import { BACKOFFICE } from '../options';

const boards = { access: 'meter.read', summary: 'List the counter boards of a machine with their meters', params: idParamsSchema, answer: counterBoardsSchema } as const;
const fit = {
  access: 'meter.set-up',
  summary: 'Fit a counter board with its meters, in the place of the one that is in the machine',
  description: 'Each meter of the board that comes out and of the one that goes in is read. The answer lists all boards of the machine.',
  params: idParamsSchema,
  body: fitBoardSchema,
  answer: counterBoardsSchema,
  status: 201,
  once: true,
  problems: ['invalid-command', 'already-exists', 'wrong-state'],
} as const;
const remove = {
  access: 'meter.set-up',
  summary: 'Take a counter board out, with a reading of each of its meters',
  params: idParamsSchema,
  body: removeBoardSchema,
  answer: counterBoardsSchema,
  once: true,
  problems: ['invalid-command', 'already-exists', 'wrong-state'],
} as const;
const readings = {
  access: 'meter-reading.read',
  summary: 'List what the meters of a machine showed, each interval in words',
  description: 'While a collection of the machine is not accepted, nobody who may count it is shown this.',
  params: idParamsSchema,
  query: meterReadingsQuerySchema,
  answer: meterReadingsSchema,
  problems: ['being-counted'],
} as const;
const record = {
  access: 'meter-reading.record',
  summary: 'Record what the meters of a machine showed at one moment',
  description: 'In whatever order moments arrive. A value that cannot be is answered with `read-again`, and with nothing of what was expected; entered once more with `readAgain` it is kept.',
  params: idParamsSchema,
  body: recordReadingsSchema,
  answer: readingsRecordedSchema,
  status: 201,
  once: true,
  problems: ['invalid-command', 'already-exists', 'wrong-state'],
} as const;
const correct = {
  access: 'meter-reading.correct',
  summary: 'Correct a reading, confirm it, or take it back',
  description: 'The first stays legible. Somebody else than who recorded it makes the correction.',
  params: idParamsSchema,
  body: correctReadingSchema,
  answer: readingCorrectedSchema,
  status: 201,
  once: true,
  problems: ['invalid-command', 'already-exists', 'wrong-state', 'second-person-needed', 'changed-meanwhile'],
} as const;

const prices = {
  access: 'meter.read',
  summary: 'List what units of the meters of a machine are and were worth, with what was corrected',
  params: idParamsSchema,
  answer: meterPricesSchema,
} as const;
const correctOfPrice = {
  access: 'meter-price.correct',
  summary: 'Correct a change of price: how much, when, or that there was none',
  description: 'The first entry stays legible. Somebody else than who entered it makes the correction. Counts are compared again; a settlement that goes by the meters and has its number gets the difference as a late change. The answer lists all prices of the machine.',
  params: idParamsSchema,
  body: correctPriceSchema,
  answer: meterPricesSchema,
  status: 201,
  once: true,
  problems: ['invalid-command', 'already-exists', 'second-person-needed', 'changed-meanwhile'],
} as const;
const openings = {
  access: 'meter.read',
  summary: 'List when the board of a machine was opened or cleared while nobody read its meters',
  params: idParamsSchema,
  answer: boardOpeningsSchema,
} as const;
const recordOfOpening = {
  access: 'board-opening.record',
  summary: 'Record that the board of a machine was opened or cleared while nobody read its meters',
  description: 'Its meters are then to be entered, see /v1/meter-tasks, and a count from the reading before to the one after is compared with nothing and raises a flag. Where they were read, record that as readings at `board-access`.',
  params: idParamsSchema,
  body: recordBoardOpeningSchema,
  answer: boardOpeningSchema,
  status: 201,
  once: true,
  problems: ['invalid-command', 'already-exists'],
} as const;
const takeBackOfOpening = {
  access: 'board-opening.take-back',
  summary: 'Take back that a board was opened',
  params: idParamsSchema,
  body: takeBackBoardOpeningSchema,
  answer: boardOpeningSchema,
  once: true,
  problems: ['wrong-state'],
} as const;

const sayWhy = {
  access: 'meter-reading.record',
  summary: 'Say why meters were not read at a collection',
  description: 'Later than with its counts, or otherwise than before: what was said first stays legible. The answer lists all meters that were not read there.',
  params: idParamsSchema,
  body: sayWhyNotReadSchema,
  answer: unreadMetersSchema,
  status: 201,
  once: true,
  problems: ['invalid-command', 'wrong-state'],
} as const;

const tasks = {
  access: 'meter.read',
  summary: 'List readings that were left out, and machines that left uncounted',
  description: 'At placing, removal, and going out of and into service meters are always read. Where readings were left out the record stands, and is listed here until each meter has a reading or a reason. It holds no figure.',
  query: meterTasksQuerySchema,
  answer: meterTasksSchema,
} as const;

@Controller('v1')
export class MeterController {
  constructor(@Inject(BACKOFFICE) private readonly backoffice: Backoffice) {}

  @Get('machines/:id/counter-boards')
  @Endpoint(boards)
  boards(@Asked() { caller, params }: AskedFor<typeof boards>) {
    return listBoards(this.backoffice, caller, { machineId: params.id });
  }

  @Post('machines/:id/counter-boards')
  @Endpoint(fit)
  fitBoard(@Asked() { caller, params, body }: AskedFor<typeof fit>) {
    return fitBoard(this.backoffice, caller, { ...body, machineId: params.id });
  }

  @Post('counter-boards/:id/removal')
  @Endpoint(remove)
  remove(@Asked() { caller, params, body }: AskedFor<typeof remove>) {
    return removeBoard(this.backoffice, caller, { ...body, boardId: params.id });
  }

  @Get('machines/:id/meter-readings')
  @Endpoint(readings)
  readings(@Asked() { caller, params, query }: AskedFor<typeof readings>) {
    return listReadings(this.backoffice, caller, { ...query, machineId: params.id });
  }

  @Post('machines/:id/meter-readings')
  @Endpoint(record)
  record(@Asked() { caller, params, body }: AskedFor<typeof record>) {
    return recordReadings(this.backoffice, caller, { ...body, machineId: params.id });
  }

  @Get('machines/:id/meter-prices')
  @Endpoint(prices)
  prices(@Asked() { caller, params }: AskedFor<typeof prices>) {
    return listPrices(this.backoffice, caller, { machineId: params.id });
  }

  @Post('machines/:id/meter-prices/corrections')
  @Endpoint(correctOfPrice)
  correctPrice(@Asked() { caller, params, body }: AskedFor<typeof correctOfPrice>) {
    return correctPrice(this.backoffice, caller, { ...body, machineId: params.id });
  }

  @Get('machines/:id/board-openings')
  @Endpoint(openings)
  openings(@Asked() { caller, params }: AskedFor<typeof openings>) {
    return listOpenings(this.backoffice, caller, { machineId: params.id });
  }

  @Post('machines/:id/board-openings')
  @Endpoint(recordOfOpening)
  recordOpening(@Asked() { caller, params, body }: AskedFor<typeof recordOfOpening>) {
    return recordOpening(this.backoffice, caller, { ...body, machineId: params.id });
  }

  @Post('board-openings/:id/taking-back')
  @Endpoint(takeBackOfOpening)
  takeBackOpening(@Asked() { caller, params, body }: AskedFor<typeof takeBackOfOpening>) {
    return takeBackOpening(this.backoffice, caller, { id: params.id, reason: body.reason });
  }

  @Get('meter-tasks')
  @Endpoint(tasks)
  tasks(@Asked() { caller, query }: AskedFor<typeof tasks>) {
    return listMeterTasks(this.backoffice, caller, query);
  }

  @Post('collections/:id/unread-meters')
  @Endpoint(sayWhy)
  sayWhy(@Asked() { caller, params, body }: AskedFor<typeof sayWhy>) {
    return sayWhyNotRead(this.backoffice, caller, { ...body, collectionId: params.id });
  }

  @Post('meter-readings/:id/corrections')
  @Endpoint(correct)
  correct(@Asked() { caller, params, body }: AskedFor<typeof correct>) {
    return correctReading(this.backoffice, caller, { ...body, readingId: params.id });
  }
}
