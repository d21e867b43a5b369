export const collectionState = { open: 'Not counted yet', counted: 'Waiting to be accepted', accepted: 'Accepted', discarded: 'Discarded' };
