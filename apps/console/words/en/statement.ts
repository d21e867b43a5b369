import { refusals } from './refusals';

export const statement = {
  download: 'Download statement',
  short: 'PDF',
  all: 'Download all',
  inPreparation: 'In preparation',
  refused: (code: string | null) => refusals[code ?? ''] ?? 'The statement could not be fetched.',
};
