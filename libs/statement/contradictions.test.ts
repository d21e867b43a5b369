import { contradictions } from '#statement/contradictions';
import type { StatementDocument } from '#statement/document';
import { sampleStatement } from '#tests/support/sample-statement';

const sound = sampleStatement();
const [firstMachine, ...otherMachines] = sound.machines;
const [waterfall] = sound.waterfalls;
if (firstMachine === undefined || waterfall === undefined) throw new Error('the sample lacks machines');

describe('contradictions', () => {
  it('finds none in statements that add up', () => {
    expect(contradictions(sound)).toEqual([]);
    expect(contradictions(sampleStatement({ machines: 0, scale: 3n }))).toEqual([]);
  });

  it.each<[string, Partial<StatementDocument>, string]>([
    ['a machine', { machines: [{ ...firstMachine, coinMinor: firstMachine.coinMinor + 1n }, ...otherMachines] }, 'net takings of machine M-1040'],
    ['a machine left out', { machines: otherMachines }, 'net takings of all pools'],
    ['a tax', { waterfalls: [{ ...waterfall, taxes: waterfall.taxes.slice(1) }] }, 'left to share in pool 1'],
    ['a carried loss', { waterfalls: [{ ...waterfall, lossCarriedForwardMinor: -1n }] }, 'left to share in pool 1'],
    ['a share', { waterfalls: [{ ...waterfall, shares: waterfall.shares.slice(1) }] }, 'shares in pool 1'],
    ['the payee\'s share in the balance', { payable: sound.payable.slice(1) }, 'share in the balance'],
    ['a guarantee that makes money', { guarantees: [{ label: 'At least 10.00', moves: [{ party: 'A', amountMinor: 1n, isPayee: false }] }] }, 'guarantee "At least 10.00"'],
    ['a guarantee that is not paid', { guarantees: [{ label: 'G', moves: [{ party: 'A', amountMinor: 1n, isPayee: true }, { party: 'B', amountMinor: -1n, isPayee: false }] }] }, 'guarantees in the balance'],
    ['the balance', { payableMinor: sound.payableMinor + 1n }, 'balance'],
    ['the amount due', { dueMinor: sound.dueMinor - 1n }, 'amount due'],
    ['an advance', { advance: { openBeforeMinor: 100n, repaidMinor: 0n, openAfterMinor: 99n } }, 'open advance'],
    ['an advance that was not deducted', { advance: { openBeforeMinor: 100n, repaidMinor: 10n, openAfterMinor: 90n } }, 'advance repaid in the balance'],
    [
      'an earlier period that is not paid',
      { earlierPeriods: [{ firstDay: sound.firstDay, lastDay: sound.lastDay, statementNumber: '1', reason: '', lines: [], forPayeeMinor: 1n }] },
      'earlier periods in the balance',
    ],
  ])('finds %s', (_, change, named) => {
    expect(contradictions({ ...sound, ...change })).toEqual(expect.arrayContaining([expect.stringContaining(named)]));
  });
});
