import { count } from './counting';

const entries = (value: number): string => count(value, 'anotación', 'anotaciones');

/** La prueba de que del registro de liquidaciones, documentos y llaves no falta nada. */
export const evidence = {
  lead: 'Cada liquidación, cada documento y todo lo que ocurre con una llave es una anotación de un registro al que solo se añade. Quien guarda una copia anterior de su cabecera puede comprobar que nada de lo anterior se cambió ni se quitó.',
  now: 'El registro ahora',
  holds: ({ size, last }: { size: number; last: string | null }) => `${entries(size)}${last === null ? '' : `, la última del ${last}`}.`,
  empty: 'El registro aún no tiene anotaciones.',
  emptyWhat: 'La primera llega con la primera liquidación que recibe su número, o con la primera llave.',
  head: 'Cabecera',
  headWhat: 'Un solo dato que representa todas estas anotaciones: si una de ellas fuera otra, este dato sería otro.',
  save: 'Descargar una copia para alguien de fuera',
  copy: {
    title: ({ office, day }: { office: string; day: string }) => `Cabecera del registro de ${office}, ${day}`,
    keep: 'Guarde este archivo donde nadie de la oficina pueda cambiarlo. Con estos dos datos cualquiera puede comprobar más tarde que ninguna de estas anotaciones se cambió ni se quitó.',
    command: 'En el servidor, esta orden nombra la primera anotación que no encaja:',
  },
  check: {
    title: '¿Falta algo desde entonces?',
    lead: 'Introduzca los dos datos de una copia que estuvo fuera. Figuran en el correo diario a propietarios y auditores, en cada documento de liquidación y en cada recibo de llaves.',
    size: 'Anotaciones',
    sizeMissing: 'Introduzca cuántas anotaciones abarca la copia, un número entero desde 1',
    rootHint: '64 cifras y letras de la a a la f. Los espacios no importan.',
    rootMissing: 'Introduzca las 64 cifras de la cabecera, solo de 0 a 9 y de a a f',
    action: 'Comprobar',
    compare: 'Comprobar esta copia',
    fits: 'No falta nada.',
    fitsWhat: ({ size, later }: { size: number; later: number }) => `${size === 1 ? 'La primera anotación sigue como era' : `Las primeras ${entries(size)} siguen como eran`} cuando se hizo esta copia; ${later === 0 ? 'desde entonces no se añadió ninguna' : `desde entonces se ${later === 1 ? 'añadió' : 'añadieron'} ${entries(later)}`}.`,
    fitsNot: 'Esta copia no encaja con el registro.',
    differs: (size: string) => `Mire primero si los dos datos están escritos tal como figuran y si la copia es de esta oficina: la de otra solo encaja con su propio registro. Si ambas cosas son así, una de las primeras ${size} anotaciones se cambió o se quitó desde que se hizo esta copia.`,
    cut: ({ entries: held, present }: { entries: string; present: string }) => `La copia abarca ${held} anotaciones y el registro solo tiene ${present}. Mire primero si el número está escrito tal como figura y si la copia es de esta oficina. Si ambas cosas son así, el final del registro se cortó.`,
    next: 'Guarde la copia y pida a quien cuida del servidor que ejecute esta orden. Nombra la primera anotación que no encaja.',
    proof: 'Descargar la prueba',
  },
  copies: {
    title: 'Copias que salieron',
    lead: 'Quien pudiera cambiar el registro podría cambiar también esta lista. Lo que prueba algo es el propio correo o el propio sello, en otras manos.',
    mails: 'Por correo, a propietarios y auditores',
    mailed: ({ size, addresses }: { size: number; addresses: number }) => `${entries(size)}, a ${count(addresses, 'dirección', 'direcciones')}`,
    noMails: 'Aún no ha salido ninguna. Sale una cada día en que el registro ha crecido, en cuanto haya un servidor de correo.',
    stamps: 'Selladas por una autoridad de sellado de tiempo',
    stamped: ({ size, authority }: { size: number; authority: string }) => `${entries(size)}, por ${authority}`,
    noStamps: 'Ninguna. Quien cuida del servidor puede indicar una autoridad que selle la cabecera de cada día.',
  },
  outside: {
    title: 'Cómo lo comprueba alguien de fuera',
    steps: [
      'Guarda una copia: el correo diario, un documento de liquidación, un recibo de llaves o el archivo de esta página. Debe estar donde nadie de esta oficina pueda cambiarla.',
      'Más tarde le pide a usted la prueba: introduzca arriba sus dos datos, compruebe y descárguela.',
      'La prueba va de su copia al registro de hoy según una norma abierta (RFC 9162, sección 2.1.4). Cualquier programa que conozca la norma la comprueba con su copia, sin este servidor.',
      'Quien tiene dos documentos de liquidación no necesita que usted le dé ninguna prueba: la página para comprobar documentos compara sus cabeceras por sí sola.',
    ],
  },
  limits: {
    title: 'Qué prueba esto y qué no',
    says: [
      'Con una copia que está fuera queda probado que ninguna anotación anterior se cambió, se quitó ni se intercaló.',
      'No queda probado qué ocurrió después de esa copia, ni que una anotación fuera cierta cuando se escribió, ni que lo hiciera quien figura en ella.',
      'Sin una copia fuera no prueba nada: quien es dueño del servidor podría escribir de nuevo todo el registro.',
    ],
  },
};
