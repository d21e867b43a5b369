import { count, number } from './counting';

export const collections = {
  title: 'Recogidas',
  bookedIn: (period: string) => `Asentadas en ${period}`,
  show: 'Mostrar',
  all: 'Todas',
  none: 'Aquí no hay ninguna recogida.',
  day: 'Día',
  bookedTo: (day: string) => `asentada el ${day}`,
  machines: 'Máquinas',
  counted: 'Contado',
  refunds: 'Devuelto',
  handed: 'Entregado',
  todo: 'Acciones',
  discard: {
    action: 'Descartar esta recogida',
    title: '¿Descartar esta recogida?',
    what: 'Se registró por error. Nada de ella cuenta ya, todo sigue legible, y la visita se puede registrar de nuevo.',
    heading: 'Descartada',
    when: (moment: string, by: string) => `Descartada por ${by}, ${moment}. Nada de ella cuenta.`,
    withdrawn: (what: string) => `Retirado con ella: ${what}.`,
    alone: 'Por alguien que intervino en ella, pues solo hay una persona.',
    kinds: {
      counts: (found: number) => count(found, 'recuento', 'recuentos'),
      fieldCounts: (found: number) => count(found, 'recuento en la máquina', 'recuentos en la máquina'),
      readings: (found: number) => count(found, 'lectura de contador', 'lecturas de contador'),
      readingTries: (found: number) => count(found, 'lectura devuelta', 'lecturas devueltas'),
      refundSlips: (found: number) => count(found, 'vale de devolución', 'vales de devolución'),
      cashHanded: (found: number) => count(found, 'recibo de efectivo', 'recibos de efectivo'),
      bags: (found: number) => count(found, 'bolsa', 'bolsas'),
    },
  },
  accept: 'Aceptar',
  count: 'Contar',
  enterVisit: 'Registrar una visita',
  cashOfDay: 'Efectivo del día',
  rounds: 'Rutas',
  acceptAll: {
    action: (collections: number) => `Aceptar ${number.format(collections)}`,
    title: (collections: number) => `¿Aceptar ${count(collections, 'recogida', 'recogidas')}?`,
    what: 'Usted declara que los recuentos son correctos. Entran en los libros; lo que resulte mal después se corrige al lado.',
  },
};

export const collectionState = { open: 'Aún sin contar', counted: 'Espera aceptación', accepted: 'Aceptada', discarded: 'Descartada' };
