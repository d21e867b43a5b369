/** Kassen, deren Zählwerke nicht sagen können, was darin war, wo die Vereinbarung nach Zählwerk geht: warum, und welche Ablesung fehlt. */
export const untold = {
  lead: 'Die Vereinbarung richtet sich nach den Zählwerken, und diese sagen nicht, was in den Kassen war. Geben Sie die fehlenden Zählerstände ein. Oder jemand, der nicht gezählt hat, öffnet die Leerung und gibt dort das Bargeld laut Zählwerk mit einer Begründung ein. Rechnen Sie danach noch einmal ab.',
  box: ({ machine, site, day }: { machine: string; site: string; day: string }) => `${machine} bei ${site}, Kasse vom ${day}:`,
  why: {
    'not-recorded': 'Die Zählerstände dieses Geräts werden nicht erfasst.',
    'left-unread': 'Das Gerät verließ den Standort, und dabei wurden nicht alle Zählwerke abgelesen.',
    'moved-unread': 'Das Gerät wurde umgesetzt und dabei nicht abgelesen: In einer einzigen Zahl steckt, was zwei Standorte eingenommen haben.',
    'first-reading': 'Die Zählwerke wurden hier zum ersten Mal abgelesen.',
    'price-unread': 'Ein Preis änderte sich, und die Zählwerke wurden dabei nicht abgelesen.',
    'board-unread': 'Die Platine wurde geöffnet oder zurückgesetzt, und die Zählwerke wurden dabei nicht abgelesen.',
    'reset-or-wrong': 'Ein Zählerstand kann nicht auf den vorigen folgen. Berichtigen Sie ihn, wenn er falsch ist.',
    'rollover-or-reset': 'Ein Zählwerk lief zurück: über null hinweg, zurückgesetzt oder falsch abgelesen. Sagen Sie bei seiner Ablesung, was davon stimmt.',
    'above-ceiling': 'Ein Zählerstand ergibt mehr, als das Gerät einnehmen kann. Bestätigen oder berichtigen Sie ihn.',
  },
  missing: {
    removal: ({ meters, site, when }: { meters: string; site: string; when: string }) => `Es fehlt der Stand von ${meters}, als das Gerät ${site} am ${when} verließ.`,
    placement: ({ meters, site, when }: { meters: string; site: string; when: string }) => `Es fehlt der Stand von ${meters}, als das Gerät am ${when} zu ${site} kam.`,
    'price-change': ({ meters, when }: { meters: string; when: string }) => `Es fehlt der Stand von ${meters} bei der Preisänderung, ${when}.`,
  },
  sayIt: (machine: string) => `Bargeld laut Zählwerk von ${machine} eingeben`,
  enterReading: (machine: string) => `Zählerstände von ${machine} eingeben oder berichtigen`,
};
