/** What each reason means and what to do, for people; those of `../words` beside it. */
export const keyLineErrorWords = {
  'not-a-code': 'Write capital letters, digits and hyphens, twenty at most.',
  'not-a-class': 'Write access or cash-box.',
  'copy-or-lock': 'A line is about a copy or about a lock: fill in copy or machine, not both and not neither.',
  'not-of-this-line': 'This column says nothing on such a line: store, with and found are about a copy, lock, opens and fitted_on about a lock. Leave the cell empty.',
  'outside-differs': 'Another line, or the books, say otherwise of copies that others may have. Put the line right, or change the cut in the books first.',
  'not-a-lock-place': 'Write small letters, digits and hyphens: cash-door.',
  'not-an-opening': 'Write play-area, cash-box or everything.',
  'class-differs': 'This code has the other class, on another line or in the books. A cut has one class.',
  'copy-twice': 'The file has another line about this copy.',
  'copy-known': 'There is a copy with this number in the books already.',
  'unknown-store': 'There is no store with this code. Record it first.',
  'unknown-holder': 'There is no person and no place at a site with this code.',
  'unclear-holder': 'A person and a place have this code. Record this copy by hand.',
  'found-elsewhere': 'Only a cash-box key that a site has is found. Leave the cell empty.',
  'cash-box-key-to-site': 'A cash-box key is given to nobody at a site. If it is there all the same, write yes in the column found.',
  'not-employed': 'This person does not work here today.',
  'other-class': 'A key of this class must not open that: what opens the cash box is of class cash-box, what opens the play area alone of class access.',
  'not-placed': 'The machine stood at no site on that day. Place it first.',
  'place-taken': 'There is a lock in that place of the machine already.',
  'in-future': 'This day has not come yet.',
  'lost-cut': 'A key of this cut was lost: no lock takes it any more.',
  twice: 'The file has another lock for this place of the machine.',
} as const;

export type KeyLineErrorCode = keyof typeof keyLineErrorWords;
