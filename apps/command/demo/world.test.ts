import { localDate, type LocalDate } from '#domain/calendar/local-date';
import { periodContaining } from '#domain/calendar/periods';
import { visitsOf } from './visits';
import { makeWorld } from './world';

const dates = { today: localDate('2026-11-25'), monthsBack: 14 };
const world = makeWorld('harvest', dates);

test('the same seed and date give the same demo', () => {
  const again = makeWorld('harvest', dates);
  expect(again).toEqual(world);
  const [first] = world;
  const [second] = again;
  if (first === undefined || second === undefined) throw new Error('no operator');
  expect(visitsOf('harvest', second, dates.today)).toEqual(visitsOf('harvest', first, dates.today));
});

test('two operators, 60 sites, 350 machines, fourteen months', () => {
  expect(world.map((operator) => operator.sites.length)).toEqual([33, 27]);
  expect(world.flatMap((operator) => operator.sites.flatMap((site) => site.machines)).length).toBe(350);
  expect(world.map((operator) => operator.startsOn)).toEqual(['2025-09-01', '2025-09-01']);
});

test('there is enough of everything that a newcomer should meet', () => {
  for (const operator of world) {
    const machines = operator.sites.flatMap((site) => site.machines);
    const visits = visitsOf('harvest', operator, dates.today);
    expect(machines.filter((machine) => machine.move !== null).length).toBeGreaterThan(2);
    expect(machines.filter((machine) => machine.games.length > 1).length).toBeGreaterThan(5);
    expect(machines.filter((machine) => machine.shortage !== null).length).toBeGreaterThan(0);
    expect(operator.sites.filter((site) => site.terms.length > 1).length).toBeGreaterThan(1);
    expect(visits.filter((visit) => visit.late).length).toBeGreaterThan(0);
    expect(visits.filter((visit) => visit.refunds.length > 0).length).toBeGreaterThan(10);
    expect(visits.filter((visit) => visit.handedMinor > 0n).length).toBeGreaterThan(10);
    expect(visits.every((visit) => visit.on <= dates.today)).toBe(true);
  }
});

test('takings change from period to period as a business does, not with the calendar of the rounds', () => {
  for (const operator of world) {
    const periods = [...Array(16).keys()].reduce<{ from: LocalDate; until: LocalDate }[]>(
      (known) => [...known, periodContaining(operator.cycle, known.at(-1)?.until ?? operator.startsOn)],
      [],
    );
    // The first one has less than its days before its last visit.
    const whole = periods.filter((period) => period.until <= dates.today).slice(1);
    const visits = visitsOf('harvest', operator, dates.today);
    const takingsOf = (siteCode: string, { from, until }: { from: LocalDate; until: LocalDate }): number =>
      visits
        .filter((visit) => visit.siteCode === siteCode && visit.on >= from && visit.on < until)
        .flatMap((visit) => visit.counts)
        .reduce((sum, count) => sum + Number(count.coinMinor + count.noteMinor), 0);
    for (const [index, period] of whole.entries()) {
      const before = whole[index - 1];
      if (before === undefined) continue;
      const changes = operator.sites.map(({ code }) => Math.abs(takingsOf(code, period) / takingsOf(code, before) - 1));
      // A machine that comes or goes makes a difference; that is for few sites at a time.
      expect(changes.filter((change) => change > 0.4).length).toBeLessThanOrEqual(2);
    }
  }
});

test('a machine that moves is counted on its way out, and at its new site only afterwards', () => {
  for (const operator of world) {
    const visits = visitsOf('harvest', operator, dates.today);
    for (const site of operator.sites) {
      for (const { tag, move } of site.machines) {
        if (move === null) continue;
        const counted = visits.flatMap((visit) => visit.counts.filter((count) => count.machineTag === tag).map((count) => ({ ...count, on: visit.on, at: visit.siteCode })));
        expect(counted.filter((count) => count.removal)).toEqual([expect.objectContaining({ on: move.on, at: site.code })]);
        for (const count of counted) expect(count.at).toBe(count.on <= move.on ? site.code : move.toSiteCode);
      }
    }
  }
});

test('nobody is in two places and every site keeps its own names', () => {
  for (const operator of world) {
    expect(new Set(operator.sites.map((site) => site.name)).size).toBe(operator.sites.length);
    expect(new Set(operator.sites.flatMap((site) => site.machines.map((machine) => machine.tag))).size).toBe(operator.sites.flatMap((site) => site.machines).length);
  }
});
