import { toInstant, toLocal } from '../moment';
import { lentUntil } from './correction';

const recorded = '2026-03-20T08:00:30.500Z';
const shown = toLocal(recorded);

describe('until when a key is lent by a correction', () => {
  test('stays as it was recorded, to the millisecond, where nobody touched it', () => {
    expect(lentUntil({ says: 'issued', shown, recorded })).toEqual({ dueBackAt: recorded });
    expect(lentUntil({ says: 'handed-over', shown, recorded })).toEqual({ dueBackAt: recorded });
  });

  test('is another time where one was written', () => {
    expect(lentUntil({ says: 'issued', shown: '2026-03-21T10:00', recorded })).toEqual({ dueBackAt: toInstant('2026-03-21T10:00') });
    expect(lentUntil({ says: 'issued', shown: '2026-03-21T10:00', recorded: null })).toEqual({ dueBackAt: toInstant('2026-03-21T10:00') });
  });

  test('is over where the field was emptied, and where nothing was given', () => {
    expect(lentUntil({ says: 'issued', shown: '', recorded })).toEqual({});
    expect(lentUntil({ says: 'returned', shown, recorded })).toEqual({});
    expect(lentUntil({ says: null, shown, recorded })).toEqual({});
  });
});
