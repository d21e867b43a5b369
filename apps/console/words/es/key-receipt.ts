/** Lo que lee quien confirma por un enlace, sin cuenta, que dio o recibió una llave. */
export const keyReceipt = {
  title: 'Confirmar una llave',
  asks: {
    giver: (name: string) => `${name}, se le pide que confirme que dio esto.`,
    receiver: (name: string) => `${name}, se le pide que confirme que recibió esto.`,
  },
  what: 'Qué',
  keys: 'Llaves',
  from: 'De',
  to: 'A',
  when: 'Cuándo',
  says: (kind: string) => (kind === 'issued' ? 'Entregada' : kind === 'returned' ? 'Devuelta' : 'Pasada'),
  onlyIfTrue: 'Si no fue así, no lo confirme y dígalo a quien le envió el enlace.',
  confirm: { giver: 'Yo di esto', receiver: 'Yo recibí esto' },
  confirmed: (when: string) => `Confirmado el ${when}. No queda nada por hacer.`,
};
