import { createAgreement } from '#backoffice/agreement/create';
import type { Caller } from '#backoffice/caller';
import type { Backoffice } from '#backoffice/dependencies';
import { createGame } from '#backoffice/game/create';
import { createMachine } from '#backoffice/machine/create';
import { createParty } from '#backoffice/party/create';
import { createPerson } from '#backoffice/person/create';
import { createSite } from '#backoffice/site/create';
import { createTaxArea } from '#backoffice/tax/areas';
import { createTaxRule } from '#backoffice/tax/rules';
import { addDays } from '#domain/calendar/local-date';
import { decimal } from '#domain/money/decimal';
import { expectDone, inParallel } from './expect-done';
import { termsDocument } from './terms';
import type { DemoMachine, DemoOperator, DemoSite } from './world';

/** Ids that later steps need, by the codes that people use. */
export type DemoIds = {
  readonly sites: ReadonlyMap<string, string>;
  readonly games: ReadonlyMap<string, string>;
  readonly people: ReadonlyMap<string, string>;
  readonly owners: ReadonlyMap<string, string>;
  readonly machines: ReadonlyMap<string, string>;
  readonly agreements: ReadonlyMap<string, string>;
  readonly placements: ReadonlyMap<string, string>;
  readonly installations: ReadonlyMap<string, string>;
};

const AT_ONCE = 4;

/** Everything that was in place on the operator's first day. */
export async function setUp(deps: Backoffice, caller: Caller, operator: DemoOperator): Promise<DemoIds> {
  const maps = { sites: new Map<string, string>(), games: new Map<string, string>(), people: new Map<string, string>(), owners: new Map<string, string>(), machines: new Map<string, string>(), agreements: new Map<string, string>(), placements: new Map<string, string>(), installations: new Map<string, string>() };
  const taxAreaId = await taxArea(deps, caller, operator);
  await inParallel(operator.games, AT_ONCE, async (game) => {
    maps.games.set(game.code, expectDone(await createGame(deps, caller, { ...game, kind: operator.kinds[game.kind] }), `add ${game.title}`).id);
  });
  for (const { code, name } of [...operator.collectors, operator.custodian, ...inTheOffice(operator)]) {
    const person = { code, name, employedBy: 'operator' as const, siteId: null, email: null, startedOn: operator.startsOn };
    maps.people.set(code, expectDone(await createPerson(deps, caller, person), `add ${name}`).id);
  }
  await inParallel(operator.sites, AT_ONCE, async (site) => {
    await setUpSite(deps, caller, { operator, site, taxAreaId, maps });
  });
  return maps;
}

/** Who counts keys is somebody, so that it can be told whether they keep some themselves. */
export function inTheOffice({ ownerName, bookkeeperName }: DemoOperator): { readonly code: string; readonly name: string }[] {
  return [{ code: 'OFFICE-1', name: ownerName }, { code: 'OFFICE-2', name: bookkeeperName }];
}

async function taxArea(deps: Backoffice, caller: Caller, operator: DemoOperator): Promise<string> {
  const { areaCode, areaName, title, components } = operator.tax;
  const area = expectDone(await createTaxArea(deps, caller, { code: areaCode, name: areaName, country: operator.country }), 'add the tax area');
  const rule = {
    areaId: area.id,
    code: 'TAKINGS',
    validFrom: addDays(operator.startsOn, -365),
    validTo: null,
    source: operator.words.taxSource,
    endsPrevious: false,
    confirmRetroactive: false,
    document: {
      method: 'inside' as const,
      title,
      currency: operator.currency,
      machineKinds: 'all' as const,
      filedBy: 'operator' as const,
      borneBy: 'all' as const,
      breakIns: 'in-base' as const,
      negative: 'zero' as const,
      capPerMachineMonth: null,
      components: components.map((component, index) => ({ id: `part-${index + 1}`, title: component.title, ratePercent: decimal(component.ratePercent) })),
    },
  };
  expectDone(await createTaxRule(deps, caller, rule), 'add the tax rule');
  return area.id;
}

type Maps = { readonly [name in keyof DemoIds]: Map<string, string> };
type SiteSetUp = { operator: DemoOperator; site: DemoSite; taxAreaId: string; maps: Maps };

async function setUpSite(deps: Backoffice, caller: Caller, { operator, site, taxAreaId, maps }: SiteSetUp): Promise<void> {
  const { code, name, owner, manager } = site;
  const address = [...site.addressLines];
  const openedOn = operator.startsOn;
  const made = expectDone(await createSite(deps, caller, { code, name, address, timeZone: operator.timeZone, currency: operator.currency, taxAreaId, openedOn }), `add ${name}`);
  maps.sites.set(code, made.id);
  const party = expectDone(await createParty(deps, caller, { ...owner, email: `${owner.code.toLowerCase()}@sites.example`, address, locale: operator.locale }), `add ${owner.name}`);
  maps.owners.set(code, party.id);
  const person = { ...manager, employedBy: 'site' as const, siteId: made.id, email: null, startedOn: openedOn };
  maps.people.set(manager.code, expectDone(await createPerson(deps, caller, person), `add ${manager.name}`).id);
  const [first] = site.terms;
  if (first === undefined) throw new Error(`${code} has no terms`);
  const agreement = {
    code: `A-${code}`,
    siteId: made.id,
    partyId: party.id,
    otherPartyIds: [],
    startedOn: openedOn,
    terms: termsDocument(operator, first.terms, { ownerId: party.id }),
  };
  maps.agreements.set(code, expectDone(await createAgreement(deps, caller, agreement), `agree with ${name}`).id);
  for (const machine of site.machines) await setUpMachine(deps, caller, { operator, machine, siteId: made.id, maps });
}

async function setUpMachine(deps: Backoffice, caller: Caller, at: { operator: DemoOperator; machine: DemoMachine; siteId: string; maps: Maps }): Promise<void> {
  const { operator, machine, siteId, maps } = at;
  const { tag } = machine;
  const acquiredOn = addDays(operator.startsOn, -200);
  const since = operator.startsOn;
  const placement = { id: deps.newId(), siteId, placedOn: since };
  const installation = { id: deps.newId(), gameId: maps.games.get(machine.games[0]?.code ?? '') ?? '', installedOn: since };
  const made = expectDone(await createMachine(deps, caller, { tag, kind: operator.kinds[machine.kind], serialNumber: null, acquiredOn, placement, installation }), `add ${tag}`);
  maps.machines.set(tag, made.id);
  maps.placements.set(tag, placement.id);
  maps.installations.set(tag, installation.id);
}
