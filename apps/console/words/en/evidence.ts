import { count } from './counting';

const entries = (value: number): string => count(value, 'entry', 'entries');

/** The proof that nothing was dropped from the log of settlements, statements and keys. */
export const evidence = {
  lead: 'Every settlement, every statement and everything that happens to a key is an entry of a log to which entries are only added. Whoever holds an earlier copy of its head can check that nothing before it was changed or dropped.',
  now: 'The log now',
  holds: ({ size, last }: { size: number; last: string | null }) => `${entries(size)}${last === null ? '' : `, the last of ${last}`}.`,
  empty: 'The log has no entry yet.',
  emptyWhat: 'The first comes with the first settlement that gets its number, or with the first key.',
  head: 'Log head',
  headWhat: 'One figure that stands for all of these entries: had one of them been another, this figure would be another.',
  save: 'Download a copy for somebody outside',
  copy: {
    title: ({ office, day }: { office: string; day: string }) => `Head of the log of ${office}, ${day}`,
    keep: 'Keep this file where nobody of the office can change it. With these two figures anybody can check later that none of these entries was changed or dropped.',
    command: 'On the server, this names the first entry that does not fit:',
  },
  check: {
    title: 'Was anything dropped since?',
    lead: 'Enter both figures of a copy that lay outside. They stand in the daily mail to owners and auditors, on each statement and on each receipt for keys.',
    size: 'Entries',
    sizeMissing: 'Enter how many entries the copy covers, a whole number from 1',
    rootHint: '64 digits and letters from a to f. Spaces do not matter.',
    rootMissing: 'Enter all 64 digits of the log head, none but 0 to 9 and a to f',
    action: 'Check',
    compare: 'Check this copy',
    fits: 'Nothing was dropped.',
    fitsWhat: ({ size, later }: { size: number; later: number }) => `${size === 1 ? 'The first entry is' : `The first ${entries(size)} are`} as they were when this copy was made; ${later === 0 ? 'none was added since' : `${entries(later)} came after`}.`,
    fitsNot: 'This copy does not fit the log.',
    differs: (size: string) => `Look first whether both figures are typed as they stand, and whether the copy is one of this office: that of another fits no log but its own. If both hold, one of the first ${size} entries was changed or dropped since this copy was made.`,
    cut: ({ entries: held, present }: { entries: string; present: string }) => `The copy covers ${held} entries, and the log has only ${present}. Look first whether the figure is typed as it stands, and whether the copy is one of this office. If both hold, the end of the log was cut off.`,
    next: 'Keep the copy, and have whoever looks after the server run this. It names the first entry that does not fit.',
    proof: 'Download the proof',
  },
  copies: {
    title: 'Copies that went outside',
    lead: 'Whoever could change the log could change this list as well. What proves something is the mail or the stamp itself, in other hands.',
    mails: 'By mail, to owners and auditors',
    mailed: ({ size, addresses }: { size: number; addresses: number }) => `${entries(size)}, to ${count(addresses, 'address', 'addresses')}`,
    noMails: 'None has gone out yet. One goes out on each day on which the log has grown, once a mail server is set up.',
    stamps: 'Stamped by a time-stamp authority',
    stamped: ({ size, authority }: { size: number; authority: string }) => `${entries(size)}, by ${authority}`,
    noStamps: 'None. Whoever looks after the server can name an authority that stamps the head of each day.',
  },
  outside: {
    title: 'How somebody outside checks it',
    steps: [
      'They keep a copy: the daily mail, a statement, a receipt for keys, or the file from this page. It has to lie where nobody of this office can change it.',
      'Later they ask you for the proof: enter their two figures above, check, and download it.',
      'The proof runs from their copy to the log of today by an open standard (RFC 9162, section 2.1.4). Any program that knows the standard checks it against their copy, without this server.',
      'Whoever has two statements needs no proof from you: the page for checking statements compares their heads by itself.',
    ],
  },
  limits: {
    title: 'What this proves, and what it does not',
    says: [
      'Under a copy that lies outside: that no entry before it was changed, dropped or put between.',
      'Not what happened after that copy, nor that an entry was true when it was written, nor that whoever is named in it did it.',
      'Without a copy outside it proves nothing: whoever owns the server could write the whole log anew.',
    ],
  },
};
