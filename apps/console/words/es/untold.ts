/** Cajas de las que los contadores no pueden decir lo que había, donde las condiciones van por contadores: por qué, y qué lectura falta. */
export const untold = {
  lead: 'Las condiciones van por contadores, y estos no dicen lo que había en las cajas. Registre las lecturas que faltan. O bien alguien que no contó abre la recogida y registra allí el efectivo según contadores, con el motivo. Después liquide de nuevo.',
  box: ({ machine, site, day }: { machine: string; site: string; day: string }) => `${machine} en ${site}, caja del ${day}:`,
  why: {
    'not-recorded': 'Las lecturas de esta máquina no se registran.',
    'left-unread': 'La máquina salió del local sin que se leyeran todos sus contadores.',
    'moved-unread': 'La máquina se trasladó sin que se leyeran sus contadores: una sola cifra contiene lo que recaudaron dos locales.',
    'first-reading': 'Sus contadores se leyeron aquí por primera vez.',
    'price-unread': 'Cambió un precio, y los contadores no se leyeron entonces.',
    'board-unread': 'La placa se abrió o se puso a cero, y los contadores no se leyeron entonces.',
    'reset-or-wrong': 'Una lectura no puede seguir a la anterior. Corríjala si es errónea.',
    'rollover-or-reset': 'Un contador retrocedió: pasó por cero, se puso a cero o se leyó mal. Diga en su lectura qué fue.',
    'above-ceiling': 'Una lectura supone más de lo que la máquina puede recaudar. Confírmela o corríjala.',
  },
  missing: {
    removal: ({ meters, site, when }: { meters: string; site: string; when: string }) => `Falta la lectura de ${meters} cuando la máquina salió de ${site} el ${when}.`,
    placement: ({ meters, site, when }: { meters: string; site: string; when: string }) => `Falta la lectura de ${meters} cuando la máquina llegó a ${site} el ${when}.`,
    'price-change': ({ meters, when }: { meters: string; when: string }) => `Falta la lectura de ${meters} en el cambio de precio, ${when}.`,
  },
  sayIt: (machine: string) => `Registrar el efectivo según contadores de ${machine}`,
  enterReading: (machine: string) => `Registrar o corregir lecturas de ${machine}`,
};
