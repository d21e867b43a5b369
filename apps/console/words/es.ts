import { account } from './es/account';
import { collectionState } from './es/collection-state';
import { language, number } from './es/counting';
import { agreementState, monthEnd } from './es/month-end';
import { problems } from './es/problems';
import { broken, chooseOperator, denied, frame, notFound, roles, signIn, unsentVisits } from './es/session';
import { statement } from './es/statement';
import { signature } from './es/signature';
import { journalMonths } from './es/journal-months';
import type { FirstWords } from './shape';

/**
 * Glosario: operator operador (como cliente del programa: empresa), site local, machine máquina, kind tipo, game juego,
 * collection recogida, collector recaudador, takings recaudación, settlement liquidación, statement (el archivo) documento,
 * charge cargo, split reparto, share participación, payable a pagar, advance anticipo, write off dar de baja, refund slip vale de
 * devolución, meter contador, reading lectura, variance diferencia, flag aviso, float cambio, change fund fondo de cambio, bag
 * bolsa, seal precinto, counting room sala de recuento, round ruta, token ficha, cut código de llave, copy copia, store
 * depósito, place lugar, ring llavero, cash-box key llave de caja, access key llave de acceso, evidence log registro, key
 * count recuento de llaves, agreement contrato, scale balanza.
 */
export const es: FirstWords = {
  language,
  documentTitle: (screen) => `${screen} – Latchledger`,
  loading: 'Cargando',
  working: 'Un momento…',
  cancel: 'Cancelar',
  more: 'Mostrar más',
  download: 'Descargar como CSV',
  downloadRefused: 'No se pudo obtener el archivo. Inténtelo de nuevo.',
  site: 'Local',
  machine: 'Máquina',
  machineKind: (kind) => kind.charAt(0).toUpperCase() + kind.slice(1).replaceAll('-', ' '),
  state: 'Estado',
  period: 'Período',
  recorded: 'Registrado',
  reason: 'Motivo',
  commands: 'Acciones',
  reasonMissing: 'Escriba un motivo de al menos tres caracteres',
  trouble: {
    unreachable: 'No se puede llegar al servidor',
    unreachableAdvice: 'Compruebe la conexión. No se ha perdido nada de lo que escribió',
    unreadable: 'El servidor dio una respuesta que aquí no tiene sentido',
    unreadableAdvice: 'Espere un momento e inténtelo de nuevo',
    again: 'Intentar de nuevo',
    inEnglish: 'En inglés, por si pregunta:',
    requestId: (id) => `Indíquelo si lo comunica: ${id}`,
  },
  actor: { you: 'usted', colleague: 'un colega', token: 'otro programa', system: 'Latchledger', operator: 'el operador' },
  form: {
    notTaken: 'Esto no se acepta así.',
    sendAgain: 'No se sabe si quedó registrado. Envíelo otra vez desde aquí: se registra una sola vez como mucho',
    problem: (errors) => (errors === 1 ? 'Hay que corregir una cosa' : `Hay que corregir ${number.format(errors)} cosas`),
  },
  account,
  agreementState,
  broken,
  chooseOperator,
  collectionState,
  denied,
  frame,
  journalMonths,
  monthEnd,
  notFound,
  unsentVisits,
  problems,
  roles,
  signature,
  signIn,
  statement,
};
