export const search = {
  title: 'Buscar',
  label: '¿Qué busca?',
  hint: 'Un nombre, un código, el número de una máquina o de una liquidación; bastan dos letras.',
  shortcut: (keys: string) => `${keys} le trae aquí desde cualquier página.`,
  none: (text: string) => `Nada de lo que usted puede ver se llama «${text}».`,
  found: (count: number) => (count === 1 ? 'Un resultado' : `${count} resultados`),
  more: 'Hay más: añada una palabra o una cifra.',
  kinds: {
    site: 'Locales',
    machine: 'Máquinas',
    settlement: 'Liquidaciones',
    party: 'Partes de contratos',
    person: 'Personas',
    'key-code': 'Códigos de llave',
    'key-copy': 'Llaves',
  },
};
