import { countOf } from './counting';

export const sites = {
  takings: 'Recaudación',
  takingsChart: {
    title: (currency: string) => `Recaudación por período en ${currency}, la participación del local más oscura`,
    says: ({ least, most }: { least: { amount: string; period: string }; most: { amount: string; period: string } }) => `Mínimo: ${least.amount}, ${least.period}; máximo: ${most.amount}, ${most.period}.`,
  },
  title: 'Locales',
  none: 'Aún no hay ningún local configurado.',
  find: 'Buscar un local',
  shown: (shown: number, all: number) => countOf({ shown, all }, 'local', 'locales'),
  address: 'Dirección',
  currency: 'Moneda',
  closed: 'cerrado',
  agreement: 'Lo acordado',
  agreedWith: (party: string, from: string, until: string | null) => (until === null ? `Con ${party}, desde el ${from}` : `Con ${party}, del ${from} al ${until}`),
  termsFrom: (day: string) => `Condiciones desde el ${day}`,
  noAgreement: 'No hay contrato para este local.',
  machines: 'Máquinas aquí',
  noMachines: 'Ahora no hay ninguna máquina aquí.',
  kind: 'Tipo',
  here: 'Aquí desde',
  settlements: 'Liquidaciones',
  noSettlements: 'Aquí aún no se ha liquidado nada.',
  collections: 'Últimas recogidas',
  allCollections: 'Todas las recogidas de este local',
  noCollections: 'Aquí aún no se ha recogido nada.',
};

export const advances = {
  title: 'Anticipos',
  none: 'Aquí no se ha entregado ningún anticipo.',
  givenOn: 'Entregado el',
  to: 'A',
  reason: 'Motivo',
  given: 'Entregado',
  open: 'Pendiente',
  closed: 'nada',
  give: 'Entregar un anticipo',
  giveTo: (party: string) => `Anticipo a ${party}`,
  explained: 'Las liquidaciones lo descuentan de la participación, según las condiciones, hasta que no quede nada pendiente.',
  amount: (currency: string) => `Importe en ${currency}`,
  amountMissing: 'Escriba el importe en cifras, como 250,00.',
  dayMissing: 'Diga qué día se entregó.',
  reasonMissing: 'Diga por qué, en pocas palabras.',
  method: 'Pagado por',
  methods: { bank: 'Banco', cash: 'Efectivo de la sala de recuento', other: 'Otro medio' },
  document: 'Justificante',
  documentHint: 'Lo que muestra el banco o un recibo; puede quedar vacío.',
  record: 'Registrar el anticipo',
};

export const share = {
  title: 'Mi participación',
  sites: 'Sus locales',
  noSites: 'Su cuenta no está unida a ningún local. Pregunte al operador.',
  soFar: (period: string) => `Su participación de ${period} hasta ahora`,
  from: (takings: string, countedUntil: string | null) =>
    countedUntil === null ? `De una recaudación de ${takings}.` : `De una recaudación de ${takings}, contada hasta el ${countedUntil}.`,
  notFinal: 'Cambia hasta que se cierre el período.',
  nothingYet: 'Para este período aún no se puede mostrar ninguna participación.',
  statements: 'Documentos',
  noStatements: 'El primer documento llega tras el primer cierre de mes.',
  visits: 'Últimas visitas',
  noVisits: 'Aquí no se ha recogido nada todavía.',
  visit: ({ counted, refunds, handed }: { counted: string; refunds: string | null; handed: string | null }) =>
    [`${counted} contado`, ...(refunds === null ? [] : [`${refunds} devuelto a jugadores`]), ...(handed === null ? [] : [`${handed} entregado aquí`])].join(', '),
};
