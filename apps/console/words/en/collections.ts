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
  accept: 'Accept',
  acceptAll: {
    action: (collections: number) => `Accept ${number.format(collections)}`,
    title: (collections: number) => `Accept ${count(collections, 'collection', 'collections')}?`,
    what: 'You say that the counts are right. They enter the books; what turns out wrong later is corrected beside them.',
  },
};

export const collectionState = { open: 'Not counted yet', counted: 'Waiting to be accepted', accepted: 'Accepted' };
