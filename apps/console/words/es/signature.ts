/** What the first screens say of it as well. */
export const signature = {
  title: 'Firma de sus liquidaciones',
  check: 'Comprobar una liquidación por su cuenta',
  attention: {
    'ends-soon': (day: string) => `El certificado con el que se firman las liquidaciones es válido hasta el ${day}. Después las liquidaciones esperan.`,
    expired: (day: string) => `El certificado en uso terminó el ${day}: las liquidaciones esperan.`,
    revoked: () => 'El certificado en uso está revocado: las liquidaciones esperan.',
    none: 'Un propietario pone en uso otro.',
    next: (day: string) => `Otro firma a partir del ${day}.`,
  },
};
