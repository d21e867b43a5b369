import { count, number } from './counting';

export const collections = {
  title: 'Collections',
  bookedIn: (period: string) => `Booked to ${period}`,
  show: 'Show',
  all: 'All',
  none: 'There is no collection here.',
  day: 'Day',
  bookedTo: (day: string) => `booked to ${day}`,
  machines: 'Machines',
  counted: 'Counted',
  refunds: 'Given back',
  handed: 'Handed over',
  todo: 'What can be done',
  discard: {
    action: 'Discard this collection',
    title: 'Discard this collection?',
    what: 'It was entered by mistake. Nothing of it counts any more, all of it stays legible, and the visit may be entered anew.',
    heading: 'Discarded',
    when: (moment: string, by: string) => `Discarded by ${by}, ${moment}. Nothing of it counts.`,
    withdrawn: (what: string) => `Withdrawn with it: ${what}.`,
    alone: 'By one who had a hand in it, as there is only one person.',
    kinds: {
      counts: (found: number) => count(found, 'count', 'counts'),
      fieldCounts: (found: number) => count(found, 'count at the machine', 'counts at the machine'),
      readings: (found: number) => count(found, 'meter reading', 'meter readings'),
      readingTries: (found: number) => count(found, 'reading sent back', 'readings sent back'),
      refundSlips: (found: number) => count(found, 'refund slip', 'refund slips'),
      cashHanded: (found: number) => count(found, 'receipt for cash', 'receipts for cash'),
      bags: (found: number) => count(found, 'bag', 'bags'),
    },
  },
  accept: 'Accept',
  count: 'Count',
  enterVisit: 'Enter a visit',
  cashOfDay: 'Cash of the day',
  rounds: 'Rounds',
  acceptAll: {
    action: (collections: number) => `Accept ${number.format(collections)}`,
    title: (collections: number) => `Accept ${count(collections, 'collection', 'collections')}?`,
    what: 'You say that the counts are right. They enter the books; what turns out wrong later is corrected beside them.',
  },
};

export const collectionState = { open: 'Not counted yet', counted: 'Waiting to be accepted', accepted: 'Accepted', discarded: 'Discarded' };
