/** Respuestas cortas junto a un botón, según el código del rechazo. */
export const refusals: Readonly<Record<string, string>> = {
  'wrong-state': 'Alguien se adelantó entretanto. La lista se ha vuelto a leer.',
  'changed-meanwhile': 'Ha cambiado desde que lo vio. La lista se ha vuelto a leer.',
  'draft-is-stale': 'Sus recuentos o condiciones han cambiado desde que se liquidó. Abra el borrador y recalcúlelo.',
  'not-allowed': 'Su función no lo permite.',
  'statement-in-preparation': 'Aún se está preparando. Inténtelo de nuevo en un momento.',
  'statement-not-issued': 'No hay documento antes de emitir la liquidación.',
  'flags-open': 'Hay diferencias entre recuento y contadores sin explicar. Están en Diferencias, Avisos.',
  'settlement-held': 'El borrador está retenido. Libérelo primero.',
  'cannot-be-settled': 'Algo impide esta liquidación. Ábrala y revísela allí: se dice qué es.',
  'boxes-not-counted': 'Una máquina dejó el local y nadie contó lo que había en su caja. Abra la liquidación y revísela allí: se dice cuál es.',
  'limits-not-kept': 'Las cifras infringen un límite de la ley del lugar. Abra la liquidación y revísela allí: se dice cuál es.',
  'journal-closed': 'El diario está cerrado para este día. Pida a un propietario que reabra el mes del diario.',
};
