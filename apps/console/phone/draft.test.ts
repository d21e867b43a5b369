import { claimLike, claimsGone, emptyDraft, emptyMachine, machineIn, toVisit, withMachine, type Draft, type MachineDraft, type Reading, type Stop } from './draft';

const stop: Stop = {
  roundId: 'round', roundName: 'Harbour', plannedOn: '2026-03-31', siteId: 'site', siteCode: 'QUAY', siteName: 'Quay Tavern', address: [], currency: 'USD', timeZone: 'America/Chicago', collected: false, withOffice: false, tokens: [], byMeters: false,
  machines: [
    { machineId: 'one', tag: 'M-1', game: null, leaves: false, meters: [{ meterId: 'coins', label: 'Coins', digits: 5 }] },
    { machineId: 'two', tag: 'M-2', game: null, leaves: false, meters: [] },
  ],
  refundClaims: [
    { id: 'claim', machineTag: 'M-1', number: 'A-17', refundedOn: '2026-03-28', amount: { amount: '2.50', currency: 'USD' } },
    { id: 'other', machineTag: 'M-2', number: null, refundedOn: '2026-03-29', amount: { amount: '1.00', currency: 'USD' } },
  ],
};
const reading: Reading = { stop, coinSet: null, locale: 'en-US' };
const usd = (amount: string) => ({ amount, currency: 'USD' });
const started = emptyDraft(new Date('2026-03-31T14:05:09.123Z'));
const dark = { why: 'display-dark', note: '' } as const;
/** Its meter is dark unless the test says otherwise. */
const typed = (fields: Partial<MachineDraft>, more: Partial<Draft> = {}): Draft => ({ ...started, machines: { one: { ...emptyMachine, whyUnread: { coins: dark }, ...fields } }, ...more });

describe('a visit out of what was typed', () => {
  it('counts a machine of which something was said, the rest of it as nothing, and leaves the others out', () => {
    expect(toVisit(typed({ coin: '182.5', readings: { coins: '00123' } }), reading)).toEqual({
      visit: {
        siteId: 'site', happenedAt: '2026-03-31T14:05:09Z', bags: [], refunds: [], cashHanded: [],
        counts: [{ machineTag: 'M-1', coin: usd('182.50'), note: usd('0.00') }],
        readings: [{ machineId: 'one', meterId: 'coins', value: '00123' }],
        unread: [],
      },
    });
    expect(toVisit(typed({ coin: '0' }), reading)).toMatchObject({ visit: { counts: [{ coin: usd('0.00') }] } });
  });

  it('takes pieces by denomination and sealed bags instead, bad coin beside the count', () => {
    expect(toVisit(typed({ way: 'pieces', pieces: { 'usd-quarter': '40', 'usd-dime': '' }, badCoin: '0.75' }), reading)).toMatchObject({
      visit: { counts: [{ machineTag: 'M-1', tally: [{ issueId: 'usd-quarter', pieces: 40 }], badCoin: usd('0.75') }] },
    });
    const bagged = toVisit(typed({ bag: 'B-7', seal: 'S-1', coin: ' ' }, { counting: 'room' }), reading);
    expect(bagged).toMatchObject({ visit: { counts: [], bags: [{ machineTag: 'M-1', number: 'B-7', seal: 'S-1' }] } });
  });

  it('takes slips and cash handed out with the name of the receiver', () => {
    const more = { refunds: [{ id: 'slip', machineTag: 'M-2', refundedOn: '2026-03-30', amount: '2' }], handed: [{ id: 'cash', amount: '20', receiver: ' Bo Tarn ', strokes: [[1, 2, 3, 4]] }] };
    expect(toVisit(typed({ coin: '50' }, more), reading)).toMatchObject({
      visit: { refunds: [{ id: 'slip', machineTag: 'M-2', amount: usd('2.00'), paidBy: 'site' }], cashHanded: [{ id: 'cash', amount: usd('20.00'), acknowledgedBy: 'Bo Tarn', signature: [[1, 2, 3, 4]] }] },
    });
  });

  it('counts at the machine what goes to the counting room in a bag, each box with a bag of its own', () => {
    const both = (fields: Partial<MachineDraft>) => toVisit(typed(fields, { counting: 'both' }), reading);
    expect(both({ coin: '50', note: '20', bag: 'B-7', seal: 'S-1' })).toMatchObject({ visit: { counts: [{ machineTag: 'M-1', coin: usd('50.00'), note: usd('20.00') }], bags: [{ machineTag: 'M-1', number: 'B-7', seal: 'S-1' }] } });
    expect(both({ bag: 'B-7', seal: 'S-1' })).toMatchObject({ visit: { counts: [], bags: [{ number: 'B-7' }] } });
    expect(both({ coin: '50' })).toMatchObject({ errors: [{ field: 'one-bag', reason: 'bag-missing' }, { field: 'one-seal', reason: 'seal-missing' }] });
    // What else lay in it is counted in the room, and not dropped in silence.
    expect(both({ coin: '50', badCoin: '1', tokens: { RED: '3' }, bag: 'B-7', seal: 'S-1' })).toEqual({ errors: [{ field: 'both', reason: 'beside-left', lost: '3, 1', machineTag: 'M-1' }] });
    expect(toVisit({ ...started, counting: 'both' }, reading)).toEqual({ errors: [{ field: 'both', reason: 'nothing' }] });
  });

  it('says of a box that it is the last one of its machine, by hand or by the books, and where none is counted here that boxes were exchanged', () => {
    expect(toVisit(typed({ coin: '5', leaves: true }), reading)).toMatchObject({ visit: { counts: [{ machineTag: 'M-1', removal: true }] } });
    expect(toVisit(typed({ bag: 'B-7', seal: 'S-1', leaves: true }, { counting: 'room' }), reading)).toMatchObject({ visit: { bags: [{ machineTag: 'M-1', removal: true }] } });
    const left = { ...stop, machines: stop.machines.map((machine) => ({ ...machine, leaves: true })) };
    expect(toVisit(typed({ coin: '5' }), { ...reading, stop: left })).toMatchObject({ visit: { counts: [{ removal: true }] } });
    expect(toVisit(typed({ bag: 'B-7', seal: 'S-1' }, { counting: 'room', exchanged: true }), reading)).toMatchObject({ visit: { boxesExchanged: true } });
    const unsaid = { visit: expect.not.objectContaining({ boxesExchanged: expect.anything() }) };
    expect(toVisit(typed({ bag: 'B-7', seal: 'S-1' }, { counting: 'room' }), reading)).toEqual(unsaid);
    // Ticked before another way was chosen: a box that is counted here was opened here.
    expect(toVisit(typed({ coin: '5' }, { exchanged: true }), reading)).toEqual(unsaid);
    expect(toVisit(typed({ coin: '5', bag: 'B-7', seal: 'S-1' }, { counting: 'both', exchanged: true }), reading)).toEqual(unsaid);
  });

  it('says who paid a slip; one that came out of the box is no claim of the site', () => {
    const slip = { id: 'slip', machineTag: 'M-1', refundedOn: '2026-03-28', amount: '2.5', paidBy: 'operator' as const };
    expect(toVisit(typed({ coin: '50' }, { refunds: [slip] }), reading)).toMatchObject({ visit: { refunds: [{ id: 'slip', paidBy: 'operator' }] } });
    expect(claimLike(slip, { stop, presented: [], locale: 'en-US' })).toBeNull();
  });

  it('takes over the slips of the site that were presented, and not the others; a list of before knows of none', () => {
    const more = { presented: ['claim'], refunds: [{ id: 'slip', machineTag: 'M-2', refundedOn: '2026-03-30', amount: '2' }] };
    expect(toVisit(typed({ coin: '50' }, more), reading)).toMatchObject({
      visit: { refunds: [{ claimId: 'claim', machineTag: 'M-1', refundedOn: '2026-03-28', amount: usd('2.50'), paidBy: 'site' }, { id: 'slip' }] },
    });
    const { refundClaims: _, ...before } = stop;
    expect(toVisit(typed({ coin: '50' }, { ...more, presented: [] }), { ...reading, stop: before as Stop })).toMatchObject({ visit: { refunds: [{ id: 'slip' }] } });
  });

  it('says of a slip that was ticked and is no longer listed that it would be left out, at its field, until it is unticked', () => {
    const ticked = typed({ coin: '50' }, { presented: ['claim', 'gone'], claimNames: { gone: 'M-1, slip 7' } });
    expect(toVisit(ticked, reading)).toEqual({ errors: [{ field: 'claim-gone', reason: 'claim-gone' }] });
    expect(claimsGone(ticked, stop)).toEqual([{ id: 'gone', name: 'M-1, slip 7' }]);
    const { refundClaims: _, ...before } = stop;
    // What a phone kept of a draft from before has no names.
    expect(claimsGone({ presented: ['claim'] }, before as Stop)).toEqual([{ id: 'claim', name: null }]);
    expect(toVisit({ ...ticked, presented: ['claim'] }, reading)).toMatchObject({ visit: { refunds: [{ claimId: 'claim' }] } });
  });

  it('names the claim that a typed slip looks like: one that is not ticked first', () => {
    const slip = { id: 'slip', machineTag: 'M-1', refundedOn: '2026-03-28', amount: '2.5' };
    const twin = { ...stop.refundClaims[0], id: 'twin' } as Stop['refundClaims'][number];
    const like = (fields: object, presented: string[] = []) => claimLike({ ...slip, ...fields }, { stop: { ...stop, refundClaims: [...stop.refundClaims, twin] }, presented, locale: 'en-US' })?.id;
    expect([like({}), like({}, ['claim']), like({}, ['claim', 'twin'])]).toEqual(['claim', 'twin', 'claim']);
    for (const other of [{ machineTag: 'M-2' }, { refundedOn: '2026-03-29' }, { amount: '2.51' }, { amount: '' }]) expect(like(other)).toBeUndefined();
  });

  it('tells slips and hand-overs apart, and tells of all in the order of the fields', () => {
    const slip = { id: 'slip', machineTag: 'M-1', refundedOn: '2026-03-30', amount: 'x' };
    const cash = { id: 'cash', amount: 'x', receiver: 'Bo', strokes: [] };
    const wrong = toVisit(typed({ coin: 'x', readings: { coins: '12a' } }, { machines: { one: { ...emptyMachine, coin: 'x', readings: { coins: '12a' } }, two: { ...emptyMachine, coin: 'x' } }, refunds: [{ ...slip, id: 'first', refundedOn: '' }, slip], handed: [cash] }), reading);
    if (!('errors' in wrong)) throw new Error('nothing was found wrong');
    expect(wrong.errors.map((error) => [error.field, error.machineTag ?? ('entry' in error ? error.entry : null)])).toEqual([
      ['one-coin', 'M-1'], ['one-coins', 'M-1'], ['two-coin', 'M-2'], ['first-day', { kind: 'refund', place: 1 }], ['first-amount', { kind: 'refund', place: 1 }], ['slip-amount', { kind: 'refund', place: 2 }], ['cash-amount', { kind: 'handed', place: 1 }],
    ]);
  });

  it.each([
    ['an amount that could be read in two ways', typed({ coin: '1.234' }), 'one-coin', 'amount'],
    ['more digits than the currency has', typed({ note: '2.345' }), 'one-note', 'amount'],
    ['bad coin that is no amount', typed({ badCoin: 'two' }), 'one-bad', 'amount'],
    ['pieces that are none', typed({ way: 'pieces', pieces: { dime: '1.5' } }), 'one-dime', 'pieces'],
    ['a bag without a seal', typed({ bag: 'B-7' }, { counting: 'room' }), 'one-seal', 'seal-missing'],
    ['a seal without a bag', typed({ seal: 'S-7' }, { counting: 'room' }), 'one-bag', 'bag-missing'],
    ['a reading that is no number', typed({ coin: '1', readings: { coins: '12a' } }), 'one-coins', 'digits'],
    ['a reading longer than the meter', typed({ coin: '1', readings: { coins: '123456' } }), 'one-coins', 'too-many-digits'],
    ['a slip without a day', typed({ coin: '1' }, { refunds: [{ id: 'slip', machineTag: 'M-1', refundedOn: '', amount: '2' }] }), 'slip-day', 'day'],
    ['a slip over nothing', typed({ coin: '1' }, { refunds: [{ id: 'slip', machineTag: 'M-1', refundedOn: '2026-03-30', amount: '0' }] }), 'slip-amount', 'amount'],
    ['more coins than were handed over', typed({ coin: '1' }, { handed: [{ id: 'cash', amount: '5', receiver: 'Bo', strokes: [], coin: '5.01' }] }), 'cash-coin', 'more-coins'],
    ['cash that nobody took', typed({ coin: '1' }, { handed: [{ id: 'cash', amount: '5', receiver: ' ', strokes: [] }] }), 'cash-receiver', 'receiver-missing'],
    ['a visit at which nothing was counted', typed({ readings: { coins: '123' } }), 'here', 'nothing'],
  ])('names the field of %s', (_what, draft, field, reason) => {
    expect(toVisit(draft, reading)).toMatchObject({ errors: [{ field, reason }] });
  });

  it.each([
    ['amounts under the pieces', typed({ way: 'pieces', pieces: { dime: '4' }, coin: '5', note: '20' }), { field: 'one-way', reason: 'amounts-left', lost: '5, 20' }],
    ['pieces under the amounts', typed({ coin: '5', pieces: { dime: '4', quarter: ' ' } }), { field: 'one-way', reason: 'pieces-left', lost: 'dime: 4' }],
    ['weights under the pieces', typed({ way: 'pieces', pieces: { dime: '4' }, grams: { quarter: '56.7' } }), { field: 'one-way', reason: 'weights-left', lost: 'quarter: 56.7' }],
    ['a count under the bags', typed({ bag: 'B-7', seal: 'S-1', coin: '5', pieces: { dime: '4' }, badCoin: '1' }, { counting: 'room' }), { field: 'room', reason: 'count-left', lost: '5, dime: 4, 1' }],
    ['tokens under the bags', typed({ bag: 'B-7', seal: 'S-1', tokens: { RED: '3' } }, { counting: 'room' }), { field: 'room', reason: 'count-left', lost: 'RED: 3' }],
    ['a bag under the counts', typed({ coin: '5', bag: 'B-7', seal: 'S-1' }), { field: 'here', reason: 'bag-left', lost: 'B-7, S-1' }],
  ])('loses nothing typed in silence: %s', (_what, draft, error) => {
    expect(toVisit(draft, reading)).toEqual({ errors: [{ ...error, machineTag: 'M-1' }] });
  });
});

const issue = (id: string, face: string, pieceGrams: string | null) => ({ id, name: id, tender: pieceGrams === null ? ('note' as const) : ('coin' as const), face: usd(face), pieceGrams, from: null, until: null, source: '31 U.S.C. 5112(a)' });
const coinSet = { currency: 'USD', readOn: '2026-01-01', weighWithinPercent: 25, issues: [issue('half', '0.50', '11.34'), issue('quarter', '0.25', '5.67'), issue('dime', '0.10', '2.268'), issue('five-cents', '0.05', '5'), issue('ten-dollars', '10.00', null)] };
const scale = { id: 'check', scale: 'Tray 2', reference: '1000', shown: '1000.5', checkedAt: '2026-03-31T14:00:00Z' };
const weighing: Reading = { ...reading, coinSet };

describe('coins by weight', () => {
  it('sends grams as they were weighed, notes in pieces, and the check of the scale with them', () => {
    // 1,134.0 g of quarters are 200 pieces.
    const weighed = typed({ way: 'weight', grams: { quarter: '1,134.0' }, pieces: { 'ten-dollars': '3' } }, { scale });
    expect(toVisit(weighed, weighing)).toMatchObject({
      visit: {
        counts: [{ machineTag: 'M-1', tally: [{ issueId: 'ten-dollars', pieces: 3 }, { issueId: 'quarter', grams: '1134' }] }],
        scaleCheck: { id: 'check', scale: 'Tray 2', referenceGrams: '1000', shownGrams: '1000.5', happenedAt: '2026-03-31T14:00:00Z' },
      },
    });
  });

  it('values coins that lie unsorted and weigh the same for the same value', () => {
    expect(toVisit(typed({ way: 'weight', grams: { 'mixed_half_quarter_dime': '22.68' } }, { scale }), weighing)).toMatchObject({ visit: { counts: [{ tally: [{ mixedIssueIds: ['half', 'quarter', 'dime'], grams: '22.68' }] }] } });
  });

  it.each([
    // 1,131.2 g of quarters would be 199.5 pieces.
    ['a weight between two numbers of pieces', { grams: { quarter: '1131.2' } }, scale, 'one-quarter-grams', 'weigh-again'],
    ['a weight that is none', { grams: { quarter: 'a lot' } }, scale, 'one-quarter-grams', 'grams'],
    ['a scale that nobody checked', { grams: { quarter: '1134' } }, null, 'scale-name', 'scale-missing'],
    ['a scale that shows wrong', { grams: { quarter: '1134' } }, { ...scale, shown: '1001.001' }, 'scale-shown', 'scale-wrong'],
  ])('refuses %s at once', (_what, fields, checked, field, reason) => {
    expect(toVisit(typed({ way: 'weight', ...fields }, { scale: checked }), weighing)).toEqual({ errors: [expect.objectContaining({ field, reason })] });
  });

  it('asks for no check of a scale where nothing was weighed', () => {
    expect(toVisit(typed({ way: 'pieces', pieces: { quarter: '4' } }, { scale }), weighing)).toEqual({ visit: expect.not.objectContaining({ scaleCheck: expect.anything() }) });
  });
});

it('sends tokens, house coin and bad coin beside the count', () => {
  expect(toVisit(typed({ coin: '5', tokens: { RED: '12', BLUE: '0' }, houseCoin: '1.5', badCoin: '.75' }), { ...reading, stop: { ...stop, tokens: ['RED', 'BLUE'] } })).toEqual({ errors: [expect.objectContaining({ field: 'one-bad', reason: 'amount' })] });
  expect(toVisit(typed({ coin: '5', tokens: { RED: '12', BLUE: '0' }, houseCoin: '1.5', badCoin: '0.75' }), reading)).toMatchObject({ visit: { counts: [{ coin: usd('5.00'), tokens: [{ tokenId: 'RED', pieces: 12 }], houseCoin: usd('1.50'), badCoin: usd('0.75') }] } });
});

describe('a meter of which nothing is typed', () => {
  const why = (unread: MachineDraft['whyUnread'], more: Partial<MachineDraft> = { coin: '5' }) => toVisit(typed({ whyUnread: unread, ...more }), reading);
  it('is asked for, whatever the terms go by, or why it was not read', () => {
    expect(why({})).toEqual({ errors: [expect.objectContaining({ field: 'one-coins', reason: 'reading-missing' })] });
    // A draft that a phone kept from before it asked.
    expect(why(undefined)).toEqual(why({}));
    expect(why({}, { coin: '', bag: 'B-7', seal: 'S-1' })).toMatchObject({ errors: [expect.objectContaining({ reason: 'bag-left' })] });
    expect(toVisit(typed({ bag: 'B-7', seal: 'S-1', whyUnread: {} }, { counting: 'room' }), reading)).toEqual({ errors: [expect.objectContaining({ field: 'one-coins', reason: 'reading-missing' })] });
  });
  it('is another reason in words', () => {
    expect(why({ coins: { why: 'other', note: ' ' } })).toEqual({ errors: [expect.objectContaining({ field: 'one-coins-note', reason: 'note-missing' })] });
    expect(why({ coins: { why: 'other', note: ' Covered in paint ' } })).toMatchObject({ visit: { unread: [{ machineId: 'one', meterId: 'coins', why: 'other', note: 'Covered in paint' }] } });
  });
  it('says nothing of a machine that was not opened, nor where it was read after all', () => {
    expect(toVisit({ ...started, machines: { one: { ...emptyMachine, whyUnread: { coins: dark } }, two: { ...emptyMachine, coin: '5' } } }, reading)).toMatchObject({ visit: { unread: [] } });
    expect(why({ coins: dark }, { coin: '5', readings: { coins: '00123' } })).toMatchObject({ visit: { readings: [{ value: '00123' }], unread: [] } });
  });
});

it('loses nothing that was typed of a machine that does not stand there at the moment chosen since', () => {
  const moved = { ...typed({ coin: '5' }), machines: { one: { ...emptyMachine, whyUnread: { coins: dark }, coin: '5' }, gone: { ...emptyMachine, tag: 'M-9', coin: '400', readings: { plays: '77' } } } };
  expect(toVisit(moved, reading)).toEqual({ errors: [{ field: 'at', reason: 'not-there', lost: '400, 77', machineTag: 'M-9' }] });
  const emptied = { ...moved, machines: { ...moved.machines, gone: { ...emptyMachine, tag: 'M-9' } } };
  expect(toVisit(emptied, reading)).toMatchObject({ visit: { counts: [{ machineTag: 'M-1' }] } });
});

it('asks again for the machine of a slip, and of cash handed over, that does not stand there at the moment chosen since', () => {
  const slip = { id: 'slip', machineTag: 'M-9', refundedOn: '2026-03-30', amount: '2' };
  const cash = { id: 'cash', amount: '20', receiver: 'Bo Tarn', strokes: [], machineTag: 'M-9' };
  expect(toVisit(typed({ coin: '50' }, { refunds: [slip], handed: [cash] }), reading)).toEqual({
    errors: [
      { field: 'slip-machine', reason: 'machine-not-there', entry: { kind: 'refund', place: 1 } },
      { field: 'cash-box', reason: 'machine-not-there', entry: { kind: 'handed', place: 1 } },
    ],
  });
  const right = toVisit(typed({ coin: '50' }, { refunds: [{ ...slip, machineTag: 'M-2' }], handed: [{ ...cash, machineTag: '' }] }), reading);
  expect(right).toMatchObject({ visit: { refunds: [{ machineTag: 'M-2' }], cashHanded: [{ amount: usd('20.00') }] } });
});

describe('terms that go by the meters', () => {
  const byMeters: Reading = { ...reading, stop: { ...stop, byMeters: true } };
  const both = (one: Partial<MachineDraft>, two: Partial<MachineDraft>, more: Partial<Draft> = {}): Draft => ({ ...started, machines: { one: { ...emptyMachine, ...one }, two: { ...emptyMachine, ...two } }, ...more });

  it('ask for each reading of a box that was opened, and for what the meters imply where none are recorded', () => {
    // In the order of the fields: first all of the first machine.
    expect(toVisit(both({ coin: '5' }, { coin: '7' }), byMeters)).toEqual({ errors: [expect.objectContaining({ field: 'one-coins', reason: 'reading-missing' }), expect.objectContaining({ field: 'two-metered', reason: 'metered-missing' })] });
    expect(toVisit(both({ coin: '5', readings: { coins: '00123' } }, { coin: '7', metered: '0' }), byMeters)).toMatchObject({ visit: { counts: [{ machineTag: 'M-1' }, { machineTag: 'M-2', meteredAmount: usd('0.00') }], readings: [{ value: '00123' }] } });
  });

  it('take it that a meter was not read, once somebody says why', () => {
    expect(toVisit(typed({ coin: '5' }), byMeters)).toMatchObject({ visit: { counts: [{ machineTag: 'M-1' }], readings: [], unread: [{ machineId: 'one', meterId: 'coins', why: 'display-dark' }] } });
  });

  it('ask for it with the bag, too', () => {
    const bagged = (fields: Partial<MachineDraft>): Draft => both({}, { bag: 'B-7', seal: 'S-1', ...fields }, { counting: 'room' });
    expect(toVisit(bagged({}), byMeters)).toEqual({ errors: [expect.objectContaining({ field: 'two-metered', reason: 'metered-missing' })] });
    expect(toVisit(bagged({ metered: '182.5' }), byMeters)).toMatchObject({ visit: { bags: [{ machineTag: 'M-2', meteredAmount: usd('182.50') }] } });
  });
});

it('counts the next box as the last one was counted', () => {
  const draft = withMachine(started, { machineId: 'one', tag: 'M-1' }, { ...emptyMachine, way: 'weight' });
  expect(machineIn(draft, 'two').way).toBe('weight');
});
