export const collectionState = { open: 'Noch nicht gezählt', counted: 'Wartet auf Annahme', accepted: 'Angenommen', discarded: 'Verworfen' };
