import { type CashIssue, type TallyEntry, valueTally } from './tally';

function coin(id: string, faceMinor: bigint, pieceMilligrams: bigint | null, toleranceParts: bigint | null = null): CashIssue {
  return { id, name: id, currency: 'USD', tender: 'coin', faceMinor, pieceMilligrams, toleranceParts };
}

// 31 U.S.C. 5112(a)
const issues: readonly CashIssue[] = [
  coin('half', 50n, 11_340n),
  coin('quarter', 25n, 5_670n),
  coin('dime', 10n, 2_268n),
  coin('five', 5n, 5_000n),
  coin('worn', 100n, 8_000n, 30_000n),
  { id: 'note-5', name: 'five', currency: 'USD', tender: 'note', faceMinor: 500n, pieceMilligrams: null, toleranceParts: null },
];

function value(...entries: TallyEntry[]) {
  return valueTally(entries, { issues });
}

describe('the value of a tally', () => {
  it('adds pieces and weights by tender', () => {
    expect(value({ issueId: 'quarter', weightMilligrams: 1_134_000n }, { issueId: 'quarter', pieces: 3n }, { issueId: 'note-5', pieces: 7n })).toMatchObject({
      ok: true,
      tally: { coinMinor: 5_075n, noteMinor: 3_500n, lines: [{ pieces: 200n, valueMinor: 5_000n }, { pieces: 3n }, { valueMinor: 3_500n }] },
    });
  });
  it('values an unsorted bag of dimes, quarters and halves, which weigh the same per dollar, without counting it', () => {
    // Four dimes, three quarters, two halves: 2.15 dollars at 22.68 g a dollar.
    const weightMilligrams = 4n * 2_268n + 3n * 5_670n + 2n * 11_340n;
    expect(value({ mixedIssueIds: ['dime', 'quarter', 'half'], weightMilligrams })).toMatchObject({ ok: true, tally: { coinMinor: 215n, lines: [{ pieces: null, valueMinor: 215n }] } });
  });
  it('refuses a bag in which the weight does not tell the value', () =>
    expect(value({ mixedIssueIds: ['quarter', 'five'], weightMilligrams: 5_000n })).toEqual({ ok: false, refusals: [{ kind: 'mix-of-weights', index: 0 }] }));
  it('says between which amounts a weight lies, of every entry that cannot stand', () =>
    expect(value({ issueId: 'quarter', weightMilligrams: 1_131_200n }, { issueId: 'crown', pieces: 1n }, { issueId: 'note-5', weightMilligrams: 1_000n })).toEqual({
      ok: false,
      refusals: [
        { kind: 'weigh-again', index: 0, belowMinor: 4_975n, aboveMinor: 5_000n },
        { kind: 'unknown-issue', index: 1, issueId: 'crown' },
        { kind: 'no-weight', index: 2, issueId: 'note-5' },
      ],
    }));
  it('refuses one denomination twice in the same way of counting', () =>
    expect(value({ issueId: 'dime', pieces: 1n }, { issueId: 'dime', pieces: 2n })).toEqual({ ok: false, refusals: [{ kind: 'issue-twice', index: 1, issueId: 'dime' }] }));
  it('says what a weight could also be worth where the mint publishes a tolerance', () =>
    expect(value({ issueId: 'worn', weightMilligrams: 800_000n })).toMatchObject({ ok: true, tally: { lines: [{ pieces: 100n, possibleMinor: { least: 9_800n, most: 10_300n } }] } }));
  it('is worth nothing when empty', () => expect(value()).toEqual({ ok: true, tally: { coinMinor: 0n, noteMinor: 0n, lines: [] } }));
});
