import { refusals } from './refusals';

export const statement = {
  download: 'Descargar el documento',
  short: 'PDF',
  all: 'Descargar todos',
  inPreparation: 'En preparación',
  refused: (code: string | null) => refusals[code ?? ''] ?? 'No se pudo obtener el documento.',
};
