export const collectionState = { open: 'Aún sin contar', counted: 'Espera aceptación', accepted: 'Aceptada', discarded: 'Descartada' };
