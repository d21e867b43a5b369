import { refusals } from './refusals';

export const statement = {
  download: 'Beleg herunterladen',
  short: 'PDF',
  all: 'Alle herunterladen',
  inPreparation: 'Wird erstellt',
  refused: (code: string | null) => refusals[code ?? ''] ?? 'Der Beleg konnte nicht geholt werden.',
};
