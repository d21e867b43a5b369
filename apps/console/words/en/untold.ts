/** Boxes of which the meters cannot tell what they imply, where terms go by them: why, and which reading is missing. */
export const untold = {
  lead: 'The terms go by the meters, and those of these machines do not say what was in the boxes. Enter the readings that are missing. Or somebody who did not count opens the collection and enters the cash that the meters imply, and why. Then settle again.',
  box: ({ machine, site, day }: { machine: string; site: string; day: string }) => `${machine} at ${site}, box of ${day}:`,
  why: {
    'not-recorded': 'Nobody records its meters.',
    'left-unread': 'The machine left the site, and not all of its meters were read then.',
    'moved-unread': 'The machine was moved and its meters were not read: one figure holds what two sites took.',
    'first-reading': 'Its meters were read here for the first time.',
    'price-unread': 'A price changed, and the meters were not read then.',
    'board-unread': 'The board was opened or cleared, and the meters were not read then.',
    'reset-or-wrong': 'A reading cannot follow the one before. Correct it if it is wrong.',
    'rollover-or-reset': 'A meter went down: past zero, set back or read wrong. Say which at its reading.',
    'above-ceiling': 'A reading says more than the machine could earn. Confirm or correct it.',
  },
  missing: {
    removal: ({ meters, site, when }: { meters: string; site: string; when: string }) => `Missing is the reading of ${meters} as the machine left ${site} on ${when}.`,
    placement: ({ meters, site, when }: { meters: string; site: string; when: string }) => `Missing is the reading of ${meters} as the machine came to ${site} on ${when}.`,
    'price-change': ({ meters, when }: { meters: string; when: string }) => `Missing is the reading of ${meters} at the change of price, ${when}.`,
  },
  sayIt: (machine: string) => `Say what the meters of ${machine} imply`,
  enterReading: (machine: string) => `Enter or correct readings of ${machine}`,
};
