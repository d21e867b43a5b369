import { phaseOf } from './phase';

const progress = (figures: Partial<Parameters<typeof phaseOf>[0]>) => ({
  agreements: 10, settled: 0, reviewed: 0, numbered: 0, issued: 0, failed: 0, running: true, keyMissed: null, stampMissed: null, ...figures,
});

describe('what the work in the background is at', () => {
  it('is settling until anything is reviewed, counted against what can be settled', () => {
    expect(phaseOf(progress({ settled: 3, failed: 1 }), 8)).toEqual({ at: 'settling', done: 4, total: 8 });
    expect(phaseOf(progress({ settled: 9 }), 8)).toEqual({ at: 'settling', done: 8, total: 8 });
  });

  it('is the statements as soon as numbers are given, or nothing else is left to do', () => {
    expect(phaseOf(progress({ settled: 8, reviewed: 5, numbered: 5, issued: 2 }), 8)).toEqual({ at: 'statements', done: 2, total: 5 });
    expect(phaseOf(progress({ settled: 8, reviewed: 8 }), 8)).toEqual({ at: 'statements', done: 0, total: 8 });
  });

  it('is uncertain between reviewing the rest and settling what came later', () => {
    expect(phaseOf(progress({ settled: 8, reviewed: 3 }), 8)).toBeNull();
    expect(phaseOf(progress({ settled: 8, reviewed: 8, numbered: 8, issued: 8 }), 9)).toBeNull();
  });
});
