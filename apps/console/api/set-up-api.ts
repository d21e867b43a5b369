import * as sdk from '../generated';
import type {
  ChangeMachineData,
  ChangeOperatorData,
  ChangePartyData,
  ChangePersonData,
  ChangeSiteData,
  ChangeTaxAreaData,
  CopyReadyData,
  CorrectMeterData,
  CorrectPriceData,
  CreateGameData,
  CreateInstallationData,
  CreateLawLimitData,
  CreateMachineData,
  CreatePartyData,
  CreatePlacementData,
  CreateRuleData,
  CreateSiteData,
  CreateTaxAreaData,
  FitBoardData,
  EndInstallationData,
  EndPlacementData,
  MovePlacementData,
  RecordMeterData,
  RecordOpeningData,
  RecordRulesData,
  RemoveMeterData,
  SayWhyData,
  ReplaceInstallationData,
} from '../generated';
import { once, type Base } from './client';
import { everyPage } from './every-page';

/** The longest page that a list gives. */
const most = 200;
/** How much of a list or a history is shown before somebody asks for more. */
const latest = 50;

/** A change of something that two people may edit, with the version that the reader has seen. */
export interface Change<Body> {
  readonly id: string;
  readonly revision: number;
  readonly body: Body;
}

/** Of the audit trail; empty texts for all of it. */
export interface AuditFilter {
  readonly kind: string;
  readonly actor: string;
}

export interface MachineFilter {
  /** Part of the tag; empty for all. */
  readonly search: string;
  readonly placed?: 'yes' | 'no';
}

export const asSeen = ({ revision }: { readonly revision: number }) => ({ 'If-Match': `"${revision}"` });
const after = (cursor: string | null) => ({ limit: most, ...(cursor === null ? {} : { cursor }) });

/** The office itself, tax areas, sites, parties, people. */
export function placesApi(base: Base) {
  return {
    operatorSettings: async (signal: AbortSignal | null = null) => (await sdk.readOperator({ ...base, signal })).data,
    changeOperator: async ({ revision, body }: Omit<Change<ChangeOperatorData['body']>, 'id'>) => (await sdk.changeOperator({ ...base, headers: asSeen({ revision }), body })).data,
    readyTaxAreas: async (signal: AbortSignal) => (await sdk.listReady({ ...base, signal })).data.items,
    copyTaxArea: async (body: CopyReadyData['body'], key: string) => (await sdk.copyReady({ ...base, ...once(key), body })).data,
    createTaxArea: async (body: CreateTaxAreaData['body'], key: string) => (await sdk.createTaxArea({ ...base, ...once(key), body })).data,
    changeTaxArea: async ({ id, body, ...seen }: Change<ChangeTaxAreaData['body']>) => (await sdk.changeTaxArea({ ...base, headers: asSeen(seen), path: { id }, body })).data,
    taxArea: async (id: string, signal: AbortSignal | null = null) => (await sdk.readTaxArea({ ...base, signal, path: { id } })).data,
    taxRules: async (id: string, signal: AbortSignal) => everyPage(async (cursor) => (await sdk.listRules({ ...base, signal, path: { id }, query: after(cursor) })).data),
    lawLimits: async (id: string, signal: AbortSignal) => everyPage(async (cursor) => (await sdk.listLawLimit({ ...base, signal, path: { id }, query: after(cursor) })).data),
    createTaxRule: async ({ areaId, body }: { readonly areaId: string; readonly body: CreateRuleData['body'] }, key: string) => (await sdk.createRule({ ...base, ...once(key), path: { id: areaId }, body })).data,
    endTaxRule: async ({ areaId, id, ...body }: { readonly areaId: string; readonly id: string; readonly validTo: string; readonly reason?: string; readonly confirmRetroactive: boolean }, key: string) =>
      (await sdk.endRule({ ...base, ...once(key), path: { id: areaId, ruleId: id }, body })).data,
    createLawLimit: async ({ areaId, body }: { readonly areaId: string; readonly body: CreateLawLimitData['body'] }, key: string) => (await sdk.createLawLimit({ ...base, ...once(key), path: { id: areaId }, body })).data,
    endLawLimit: async ({ areaId, id, validTo }: { readonly areaId: string; readonly id: string; readonly validTo: string }, key: string) => (await sdk.endLawLimit({ ...base, ...once(key), path: { id: areaId, limitId: id }, body: { validTo } })).data,
    createSite: async (body: CreateSiteData['body'], key: string) => (await sdk.createSite({ ...base, ...once(key), body })).data,
    changeSite: async ({ id, body, ...seen }: Change<ChangeSiteData['body']>) => (await sdk.changeSite({ ...base, headers: asSeen(seen), path: { id }, body })).data,
    createParty: async (body: CreatePartyData['body'], key: string) => (await sdk.createParty({ ...base, ...once(key), body })).data,
    changeParty: async ({ id, body, ...seen }: Change<ChangePartyData['body']>) => (await sdk.changeParty({ ...base, headers: asSeen(seen), path: { id }, body })).data,
    changePerson: async ({ id, body, ...seen }: Change<ChangePersonData['body']>) => (await sdk.changePerson({ ...base, headers: asSeen(seen), path: { id }, body })).data,
    toleranceRules: async (signal: AbortSignal) => (await sdk.ruleSets({ ...base, signal })).data,
    recordToleranceRules: async (body: RecordRulesData['body'], key: string) => (await sdk.recordRules({ ...base, ...once(key), body })).data,
    auditEntries: async ({ kind, actor }: AuditFilter, cursor: string | null, signal: AbortSignal) =>
      (await sdk.listAuditTrail({ ...base, signal, query: { limit: latest, ...(kind === '' ? {} : { kind }), ...(actor === '' ? {} : { actor }), ...(cursor === null ? {} : { cursor }) } })).data,
    auditTrail: async (thingId: string, cursor: string | null, signal: AbortSignal) => (await sdk.listAuditTrail({ ...base, signal, query: { thingId, limit: latest, ...(cursor === null ? {} : { cursor }) } })).data,
  };
}

/** Machines with where they stood, and games with where they ran. */
export function machinesApi(base: Base) {
  return {
    machinesFound: async ({ search, placed }: MachineFilter, cursor: string | null, signal: AbortSignal) =>
      (await sdk.listMachine({ ...base, signal, query: { limit: latest, ...(search === '' ? {} : { search }), ...(placed === undefined ? {} : { placed }), ...(cursor === null ? {} : { cursor }) } })).data,
    machine: async (id: string, signal: AbortSignal | null = null) => (await sdk.readMachine({ ...base, signal, path: { id } })).data,
    createMachine: async (body: CreateMachineData['body'], key: string) => (await sdk.createMachine({ ...base, ...once(key), body })).data,
    changeMachine: async ({ id, body, ...seen }: Change<ChangeMachineData['body']>) => (await sdk.changeMachine({ ...base, headers: asSeen(seen), path: { id }, body })).data,
    placementsOf: (machineId: string, signal: AbortSignal) => everyPage(async (cursor) => (await sdk.listPlacement({ ...base, signal, query: { ...after(cursor), machineId } })).data),
    placeMachine: async (body: CreatePlacementData['body'], key: string) => (await sdk.createPlacement({ ...base, ...once(key), body })).data,
    placement: async (id: string, signal: AbortSignal | null = null) => (await sdk.readPlacement({ ...base, signal, path: { id } })).data,
    correctPlacement: async ({ id, body, ...seen }: Change<{ readonly placedOn: string; readonly removedOn: string | null }>) => (await sdk.changePlacement({ ...base, headers: asSeen(seen), path: { id }, body })).data,
    moveMachine: async ({ id, ...body }: { readonly id: string; readonly siteId: string; readonly movedOn: string; readonly metersAtRemoval?: NonNullable<MovePlacementData['body']['metersAtRemoval']>; readonly metersAtPlacement?: NonNullable<MovePlacementData['body']['metersAtPlacement']> }, key: string) => (await sdk.movePlacement({ ...base, ...once(key), path: { id }, body })).data,
    takeAwayMachine: async ({ id, ...body }: { readonly id: string; readonly removedOn: string; readonly meters?: NonNullable<EndPlacementData['body']['meters']> }, key: string) => (await sdk.endPlacement({ ...base, ...once(key), path: { id }, body })).data,
    games: async (signal: AbortSignal) => everyPage(async (cursor) => (await sdk.listGame({ ...base, signal, query: after(cursor) })).data),
    game: async (id: string, signal: AbortSignal | null = null) => (await sdk.readGame({ ...base, signal, path: { id } })).data,
    createGame: async (body: CreateGameData['body'], key: string) => (await sdk.createGame({ ...base, ...once(key), body })).data,
    changeGame: async ({ id, body, ...seen }: Change<Partial<CreateGameData['body']>>) => (await sdk.changeGame({ ...base, headers: asSeen(seen), path: { id }, body })).data,
    installationsOf: (machineId: string, signal: AbortSignal) => everyPage(async (cursor) => (await sdk.listInstallation({ ...base, signal, query: { ...after(cursor), machineId } })).data),
    runningGames: async (on: string, signal: AbortSignal) => everyPage(async (cursor) => (await sdk.listInstallation({ ...base, signal, query: { ...after(cursor), on } })).data),
    installGame: async (body: CreateInstallationData['body'], key: string) => (await sdk.createInstallation({ ...base, ...once(key), body })).data,
    installation: async (id: string, signal: AbortSignal | null = null) => (await sdk.readInstallation({ ...base, signal, path: { id } })).data,
    correctInstallation: async ({ id, body, ...seen }: Change<{ readonly installedOn: string; readonly removedOn: string | null }>) => (await sdk.changeInstallation({ ...base, headers: asSeen(seen), path: { id }, body })).data,
    replaceGame: async ({ id, ...body }: { readonly id: string } & ReplaceInstallationData['body'], key: string) => (await sdk.replaceInstallation({ ...base, ...once(key), path: { id }, body })).data,
    takeOutGame: async ({ id, ...body }: { readonly id: string } & EndInstallationData['body'], key: string) => (await sdk.endInstallation({ ...base, ...once(key), path: { id }, body })).data,
    counterBoards: async (machineId: string, signal: AbortSignal) => (await sdk.boardsMeter({ ...base, signal, path: { id: machineId } })).data.items,
    meterTasks: async (machineId: string | null, signal: AbortSignal) => (await sdk.tasksMeter({ ...base, signal, query: machineId === null ? {} : { machineId } })).data,
    meterReadings: async (machineId: string, signal: AbortSignal) => (await sdk.readingsMeter({ ...base, signal, path: { id: machineId }, query: {} })).data.items,
    fitBoard: async ({ machineId, body }: { readonly machineId: string; readonly body: FitBoardData['body'] }, key: string) => (await sdk.fitBoard({ ...base, ...once(key), path: { id: machineId }, body })).data,
    removeBoard: async ({ id, body }: { readonly id: string; readonly body: RemoveMeterData['body'] }, key: string) => (await sdk.removeMeter({ ...base, ...once(key), path: { id }, body })).data,
    correctReading: async ({ id, body }: { readonly id: string; readonly body: CorrectMeterData['body'] }, key: string) => (await sdk.correctMeter({ ...base, ...once(key), path: { id }, body })).data,
    sayWhyNotRead: async ({ collectionId, body }: { readonly collectionId: string; readonly body: SayWhyData['body'] }, key: string) => (await sdk.sayWhy({ ...base, ...once(key), path: { id: collectionId }, body })).data,
    recordReadings: async ({ machineId, body }: { readonly machineId: string; readonly body: RecordMeterData['body'] }, key: string) => (await sdk.recordMeter({ ...base, ...once(key), path: { id: machineId }, body })).data,
    meterPrices: async (machineId: string, signal: AbortSignal) => (await sdk.pricesMeter({ ...base, signal, path: { id: machineId } })).data.items,
    correctPrice: async ({ machineId, body }: { readonly machineId: string; readonly body: CorrectPriceData['body'] }, key: string) => (await sdk.correctPrice({ ...base, ...once(key), path: { id: machineId }, body })).data,
    boardOpenings: async (machineId: string, signal: AbortSignal) => (await sdk.openingsMeter({ ...base, signal, path: { id: machineId } })).data.items,
    recordBoardOpening: async ({ machineId, body }: { readonly machineId: string; readonly body: RecordOpeningData['body'] }, key: string) => (await sdk.recordOpening({ ...base, ...once(key), path: { id: machineId }, body })).data,
    takeBackBoardOpening: async ({ id, reason }: { readonly id: string; readonly reason: string }, key: string) => (await sdk.takeBackOpening({ ...base, ...once(key), path: { id }, body: { reason } })).data,
    outagesOf: (machineId: string, signal: AbortSignal) => everyPage(async (cursor) => (await sdk.listOutage({ ...base, signal, query: { ...after(cursor), machineId } })).data),
    locksOfMachine: (machineId: string, signal: AbortSignal) => everyPage(async (cursor) => (await sdk.listMachineLock({ ...base, signal, query: { ...after(cursor), machineId, inPlace: 'yes' } })).data),
  };
}
