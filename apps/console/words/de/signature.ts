/** What the first screens say of it as well. */
export const signature = {
  title: 'Signatur Ihrer Abrechnungen',
  check: 'Selbst eine Abrechnung prüfen',
  attention: {
    'ends-soon': (day: string) => `Das Zertifikat, unter dem Abrechnungen signiert werden, gilt bis ${day}. Danach warten Abrechnungen.`,
    expired: (day: string) => `Das geltende Zertifikat endete am ${day}: Abrechnungen warten.`,
    revoked: () => 'Das geltende Zertifikat ist widerrufen: Abrechnungen warten.',
    none: 'Ein Inhaber legt ein anderes fest.',
    next: (day: string) => `Ab ${day} signiert ein anderes.`,
  },
};
