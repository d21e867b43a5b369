/** What only the page of the own account and that of a link say. */
export const ownAccount = {
  title: 'Su cuenta',
  lead: (name: string, email: string) => `${name}, ${email}`,
  password: 'Contraseña',
  newPassword: 'Contraseña nueva',
  newPasswordMissing: 'Escriba una contraseña nueva',
  passwordHint: 'Al menos 12 caracteres. Sirven unas cuantas palabras que nadie pondría juntas.',
  passwordTooWeak: 'La contraseña nueva es demasiado corta o demasiado común',
  passwordChanged: 'La contraseña ha cambiado. Se han cerrado todas las demás sesiones.',
  changePassword: 'Poner la contraseña nueva',
  sessions: 'Sesiones',
  sessionsLead: 'Cierra todas las sesiones de esta cuenta, aquí y en otros dispositivos.',
  signOutEverywhere: 'Cerrar sesión en todas partes',
};

export const link = {
  title: 'Su enlace',
  titles: { invitation: 'Tiene una invitación', 'new-password': 'Poner una contraseña nueva' },
  accept: 'Aceptar y entrar',
  known: (email: string) => `${email} ya tiene una cuenta. Escriba su contraseña para aceptar.`,
  unknown: (email: string) => `Se crea una cuenta para ${email}.`,
  forAccount: (email: string) => `Para ${email}.`,
  name: 'Su nombre',
  nameMissing: 'Escriba su nombre',
};
