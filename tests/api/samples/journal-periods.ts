import type { Samples } from '#tests/support/samples';

let months = 0;

/** Long before anything of the other samples, and later than any month that was closed here before. */
function nextMonth(): string {
  months += 1;
  return `${1920 + Math.floor(months / 12)}-${String((months % 12) + 1).padStart(2, '0')}`;
}

export const samples: Samples = {
  'POST /v1/journal/close': { prepare: () => ({ body: { month: nextMonth(), reason: 'Audited.' } }) },
  'POST /v1/journal/reopen': {
    prepare: async ({ operator }) => {
      const month = nextMonth();
      await operator.as('owner').post('/v1/journal/close', { month, reason: 'Audited.' }).expect(200);
      return { body: { month, reason: 'A payment was missing.' } };
    },
  },
};
