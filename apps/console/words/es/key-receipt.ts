/** Lo que lee quien confirma por un enlace, sin cuenta, que entregó o recibió una llave, o dice que no fue así. */
export const keyReceipt = {
  title: 'Confirmar una llave',
  asks: {
    giver: (name: string) => `${name}, se le pide que confirme que entregó esto.`,
    receiver: (name: string) => `${name}, se le pide que confirme que recibió esto.`,
  },
  what: 'Qué',
  keys: 'Llaves',
  from: 'De',
  to: 'A',
  when: 'Cuándo',
  says: (kind: string) => (kind === 'issued' ? 'Entregada' : kind === 'returned' ? 'Devuelta' : 'Pasada'),
  confirm: { giver: 'Lo entregué', receiver: 'Lo recibí' },
  confirmed: (when: string) => `Confirmado el ${when}. No queda nada por hacer.`,
};
