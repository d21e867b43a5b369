import { termsSchema } from '#contracts/terms';
import { englishTerms } from '#domain/terms/catalogue-english';
import { draftOf, forAnySite, forParty, members, newKey, plainestTerms, splitForParties, staying, withChanges, type TermsDraft } from './draft';
import { termsInWords } from './in-words';
import { readDraft } from './read-draft';

const partyId = '0199f0a0-0000-7000-8000-000000000001';
const signed = termsSchema.parse({
  ...plainestTerms('USD'),
  parties: [{ id: 'operator', role: 'operator' }, { id: partyId, role: 'site' }],
  tokens: [{ tokenId: 'Brass', value: '0.25' }],
  charges: [
    { id: 'first-call', title: 'First call', to: 'operator', scope: 'agreement', amount: { kind: 'amount', per: 'week', amount: '75.00' }, rest: 'lapse' },
    { id: 'room', title: 'Room', to: partyId, scope: 'pool', amount: { kind: 'percentage', of: 'net-takings', percent: '2.5' }, rest: 'carry' },
  ],
  split: {
    kind: 'bands', method: 'whole', scope: 'pool', per: 'week',
    bands: [
      { from: '0.00', to: '500.00', shares: [{ party: 'operator', percent: '60' }, { party: partyId, percent: '40' }] },
      { from: '500.00', to: null, shares: [{ party: partyId, percent: '100' }] },
    ],
  },
  guarantees: [
    { kind: 'at-least', id: 'least', party: partyId, amount: '100.00', per: 'month', scope: 'agreement', from: 'operator' },
    { kind: 'at-most', id: 'most', party: partyId, amount: '900.00', per: 'month', scope: 'agreement', excessTo: 'operator' },
  ],
});
const read = (draft: TermsDraft, locale = 'en-US') => readDraft({ draft, changed: members, locale, currency: 'USD' });

describe('terms that are typed', () => {
  const terms = forAnySite(signed);

  it('name the site by its role wherever they named its party', () => {
    expect(JSON.stringify(terms)).not.toContain(partyId);
    expect(JSON.stringify(terms).match(/"site"/g)?.length).toBe(JSON.stringify(signed).split(partyId).length - 1 + 2);
  });

  it.each(['en-US', 'de-DE'])('come back as they were when nobody touches them, in %s', (locale) => {
    const { changes } = read(draftOf(terms, locale), locale);
    expect(changes).not.toBeNull();
    expect(withChanges(terms, changes ?? {})).toEqual(terms);
  });

  it('say what is not finished, and where', () => {
    const draft = draftOf(terms, 'en-US');
    const [first, ...charges] = draft.charges;
    const [below, above] = draft.split.bands;
    if (first === undefined || below === undefined || above === undefined) throw new Error('the terms have both');
    const broken: TermsDraft = {
      ...draft,
      tokens: [{ tokenId: ' ', value: 'x' }],
      charges: [{ ...first, title: ' ', figure: '7,5,' }, ...charges],
      split: { ...draft.split, bands: [{ to: '', shares: [{ party: 'operator', percent: '60' }, { party: 'site', percent: 'some' }] }, { ...above, shares: [{ party: 'site', percent: '99.9' }] }] },
    };
    expect(read(broken)).toEqual({
      changes: null,
      unfinished: [
        { place: 'tokens-0-tokenId', code: 'token' },
        { place: 'tokens-0-value', code: 'amount' },
        { place: 'charges-0-title', code: 'title' },
        { place: 'charges-0-amount', code: 'amount' },
        { place: 'split-bands-0-to', code: 'amount' },
        { place: 'split-bands-0-shares-1-percent', code: 'percent' },
        { place: 'split-bands-1-shares-0-percent', code: 'not-hundred' },
      ],
    });
  });

  it('are read in plain words, member by member', () => {
    const partyName = (id: string) => (id === 'site' ? 'Quay Tavern' : 'Lakeside');
    const inWords = (...chosen: (typeof members)[number][]) => termsInWords({ terms, members: chosen, partyName, locale: 'en-US', catalogue: englishTerms });
    expect(inWords('charges')).toEqual([
      'Lakeside takes the first 75.00\u00a0USD a week.',
      'Room: 2.5% of net takings to Quay Tavern, for each group of machines, before anything is shared.',
      'What the takings do not reach of it is carried to the next settlement.',
    ]);
    expect(inWords('guarantees')[0]).toBe('Quay Tavern gets at least 100.00\u00a0USD a month for all machines together; the operator pays what is missing.');
    expect(inWords('tokens')).toEqual(['A token “Brass” counts as 0.25\u00a0USD.']);
    expect(termsInWords({ terms, members: staying, partyName, locale: 'en-US', catalogue: englishTerms }).join(' ')).toBe('The operator places its machines at the site. Takings are settled for each calendar month. What a payee owes is carried to the next settlement.');
    expect(inWords('split')).toContain('From 500.00\u00a0USD: Quay Tavern 100%.');
    expect(termsInWords({ terms: { ...terms, tax: { filedBy: 'site', borneBy: 'operator' } }, members: ['tax'], partyName, locale: 'en-US', catalogue: englishTerms })).toEqual(['Quay Tavern files the tax.', 'Tax comes out of the operator’s share.']);
  });

  it('have a field for each party, and a key of its own for each new thing', () => {
    const { split } = draftOf(plainestTerms('USD'), 'en-US');
    expect(splitForParties(split, ['operator', 'site', 'third']).shares).toEqual([...split.shares, { party: 'third', percent: '0' }]);
    expect(newKey([{ id: 'first-call' }, { id: 'new-3' }])).toBe('new-4');
  });

  it('go by the id of the site’s party in the books, and by its role on screen', () => {
    expect(forParty(terms, partyId)).toEqual(signed);
  });
});
