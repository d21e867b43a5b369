import type { WrittenLanguage } from '#statement/words/languages';

/** What went into a figure, by name: the words of one language. Days come as that language writes them. */
export interface ExplainLabels {
  readonly termsFrom: (day: string) => string;
  readonly termsFromEarlier: string;
  readonly taxFrom: (title: string, day: string) => string;
  readonly taxRule: string;
  readonly issuedBefore: string;
  readonly now: string;
  readonly leftByPeriodBefore: string;
  readonly nothingToAddUp: string;
  readonly amountByRule: string;
  readonly parameters: Readonly<Record<string, string>>;
  readonly handed: (what: 'handed' | 'on-account' | 'by-payee', day: string) => string;
  readonly advance: string;
  readonly carried: string;
  readonly record: (what: 'count' | 'slip' | 'cards' | 'break-in', day: string, machine: string) => string;
  /** Beside the cash of a count: pieces of a token, what its meters imply. */
  readonly tokens: (pieces: number, token: string) => string;
  readonly meters: (amount: string) => string;
}

const english: ExplainLabels = {
  termsFrom: (day) => `Terms in force from ${day}`,
  termsFromEarlier: 'Terms in force from an earlier day',
  taxFrom: (title, day) => `${title}, in force from ${day}`,
  taxRule: 'Tax rule',
  issuedBefore: 'Issued before',
  now: 'Now',
  leftByPeriodBefore: 'Left by the period before',
  nothingToAddUp: 'Nothing to add up',
  amountByRule: 'Amount by the rule',
  parameters: { askedMinor: 'Asked for', guaranteedMinor: 'Guaranteed or capped at', shareMinor: 'Share before', openMinor: 'Open on that day and after', wholeMinor: 'Of the period as a whole' },
  handed: (what, day) => `${{ handed: 'Handed over', 'on-account': 'Paid on account', 'by-payee': 'Paid on account by the payee' }[what]} on ${day}`,
  advance: 'Advance, as far as it is open on that day and after',
  carried: 'Carried by the settlement before',
  record: (what, day, machine) => `${{ count: 'Count', slip: 'Refund slip', cards: 'Card takings', 'break-in': 'Break-in' }[what]} of ${day}, ${machine}`,
  tokens: (pieces, token) => `${String(pieces)} x ${token}`,
  meters: (amount) => `meters ${amount}`,
};

const german: ExplainLabels = {
  termsFrom: (day) => `Bedingungen ab ${day}`,
  termsFromEarlier: 'Bedingungen ab einem früheren Tag',
  taxFrom: (title, day) => `${title}, gilt ab ${day}`,
  taxRule: 'Steuerregel',
  issuedBefore: 'Zuvor abgerechnet',
  now: 'Jetzt',
  leftByPeriodBefore: 'Vom Zeitraum davor übrig',
  nothingToAddUp: 'Nichts zusammenzuzählen',
  amountByRule: 'Betrag nach der Regel',
  parameters: { askedMinor: 'Verlangt', guaranteedMinor: 'Garantiert oder begrenzt auf', shareMinor: 'Anteil davor', openMinor: 'An diesem Tag und danach offen', wholeMinor: 'Des ganzen Zeitraums' },
  handed: (what, day) => `${{ handed: 'Übergeben', 'on-account': 'Abschlag gezahlt', 'by-payee': 'Abschlag des Zahlungsempfängers' }[what]} am ${day}`,
  advance: 'Vorschuss, soweit er an diesem Tag und danach offen ist',
  carried: 'Von der vorigen Abrechnung vorgetragen',
  record: (what, day, machine) => `${{ count: 'Zählung', slip: 'Erstattungsbeleg', cards: 'Karteneinnahmen', 'break-in': 'Einbruch' }[what]} vom ${day}, ${machine}`,
  tokens: (pieces, token) => `${String(pieces)} x ${token}`,
  meters: (amount) => `Zählwerke ${amount}`,
};

const spanish: ExplainLabels = {
  termsFrom: (day) => `Condiciones en vigor desde el ${day}`,
  termsFromEarlier: 'Condiciones en vigor desde un día anterior',
  taxFrom: (title, day) => `${title}, en vigor desde el ${day}`,
  taxRule: 'Regla del impuesto',
  issuedBefore: 'Emitido antes',
  now: 'Ahora',
  leftByPeriodBefore: 'Lo que dejó el período anterior',
  nothingToAddUp: 'Nada que sumar',
  amountByRule: 'Importe según la regla',
  parameters: { askedMinor: 'Pedido', guaranteedMinor: 'Garantizado o limitado a', shareMinor: 'Participación antes', openMinor: 'Pendiente ese día y después', wholeMinor: 'Del período entero' },
  handed: (what, day) => `${{ handed: 'Entregado', 'on-account': 'Pagado a cuenta', 'by-payee': 'Pagado a cuenta por el beneficiario' }[what]} el ${day}`,
  advance: 'Anticipo, en lo que sigue pendiente ese día y después',
  carried: 'Trasladado por la liquidación anterior',
  record: (what, day, machine) => `${{ count: 'Recuento', slip: 'Vale de devolución', cards: 'Cobros con tarjeta', 'break-in': 'Robo' }[what]} del ${day}, ${machine}`,
  tokens: (pieces, token) => `${String(pieces)} x ${token}`,
  meters: (amount) => `contadores ${amount}`,
};

export const explainLabels: Readonly<Record<WrittenLanguage, ExplainLabels>> = { en: english, de: german, es: spanish };
