import { noun, number } from './counting';

export const signIn = {
  title: 'Iniciar sesión',
  lead: 'Latchledger',
  email: 'Correo electrónico',
  password: 'Contraseña',
  action: 'Iniciar sesión',
  emailMissing: 'Escriba su correo electrónico',
  passwordMissing: 'Escriba su contraseña',
  refused: 'El correo electrónico o la contraseña no son correctos. Un propietario de la empresa puede darle un enlace para poner una nueva',
  code: 'Código',
  codeHint: 'Seis cifras de su aplicación de autenticación, o un código de recuperación',
  codeMissing: 'Escriba el código',
  codeRefused: 'El código no es correcto. Espere al siguiente e inténtelo de nuevo',
  startOver: 'Entrar con otra cuenta',
  againTitle: 'Inicie sesión de nuevo',
  againLead: 'Su sesión ha terminado. La página de detrás queda como está, y lo que hacía continúa.',
  leave: 'Salir de esta página',
};

export const chooseOperator = {
  title: 'Elegir una empresa',
  lead: (name: string) => `${name}, usted trabaja para varias empresas.`,
  none: 'Su cuenta no pertenece por ahora a ninguna empresa.',
};

export const roles = {
  owner: 'propietario',
  bookkeeper: 'contabilidad',
  collector: 'recaudador',
  custodian: 'custodia de llaves',
  'site-manager': 'encargado del local',
  reviewer: 'revisor',
  auditor: 'auditor',
};

export const frame = {
  earnings: 'Rendimiento',
  skip: 'Ir al contenido',
  navigation: 'Menú principal',
  account: 'Su cuenta',
  toAccount: 'Contraseña y segundo factor',
  toSetUp: 'Configurar',
  toPeople: 'Quién puede entrar',
  toTokens: 'Tokens de API',
  toWebhooks: 'Webhooks',
  toRetention: 'Conservación',
  toAudit: 'Registro de cambios',
  toEvidence: 'Prueba del registro',
  webhooksFail: (names: string) => `No todos los mensajes se aceptaron: ${names}`,
  language: 'Idioma',
  otherOperators: 'Otras empresas',
  signOut: 'Cerrar sesión',
  share: 'Mi participación',
  today: 'Hoy',
  monthEnd: 'Cierre de mes',
  collections: 'Recogidas',
  variances: 'Diferencias',
  payments: 'Pagos',
  search: 'Buscar',
  sites: 'Locales',
  keys: 'Llaves',
  tax: 'Impuestos',
};

export const denied = {
  title: 'Esto no está abierto a su función',
  text: (role: string) => `Ha entrado con la función «${role}». Un propietario de la empresa puede cambiarla.`,
};

export const notFound = { title: 'Aquí no hay nada', text: 'La dirección es incorrecta, o aquello a lo que llevaba es de otra persona.', home: 'Ir a la página de inicio' };

export const broken = {
  bug: { title: 'Esta pantalla ha fallado', text: 'Es un fallo nuestro. No ha cambiado nada en los libros.' },
  missing: { title: 'Esta pantalla no se ha cargado', text: 'Puede que falte la conexión, o que haya una versión nueva del programa.' },
  reload: 'Volver a cargar',
};

/** Visitas de un teléfono que aún no están en otra parte, cuando alguien cierra la sesión en él. */
export const unsentVisits = {
  title: '¿Cerrar sesión con trabajo sin enviar?',
  counts: (counts: number) => `${noun(counts, 'Un recuento', `${number.format(counts)} recuentos`)} de la sala ${noun(counts, 'se empezó', 'se empezaron')} aquí y no se ${noun(counts, 'entregó', 'entregaron')}. Lo escrito se borra al cerrar sesión.`,
  what: (visits: number) =>
    `${noun(visits, 'Una visita', `${number.format(visits)} visitas`)} de este teléfono aún no ${noun(visits, 'ha llegado', 'han llegado')}. Se quedan en él y se envían cuando usted vuelva a iniciar sesión en este teléfono.`,
  action: 'Cerrar sesión de todos modos',
};
