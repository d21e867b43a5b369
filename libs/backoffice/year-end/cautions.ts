import type { WrittenLanguage } from '#statement/words/languages';

/** Read before the figures of a year. */
export const yearEndCautions: Readonly<Record<WrittenLanguage, readonly string[]>> = {
  en: [
    'These are sums of your books, not a tax return. Whom to report, and on which form, ask your tax adviser or the tax authority.',
    'Whether a payee is reported at all depends on what it is: payments to corporations, for example, mostly are not. The program does not know that.',
    'A lease counts as rents and a joint venture not, as the agreement says. If an agreement is not what it is called, the figures are wrong.',
    'A payment counts on the day on which it was made, refunds laid out and tax passed on first. Advances count when settlements work them off.',
    'What was paid otherwise, outside settlements and payments in these books, is not in here.',
  ],
  de: [
    'Das sind Summen Ihrer Bücher, keine Steuererklärung. Wer zu melden ist und auf welchem Formular, fragen Sie Ihre Steuerberatung oder die Steuerbehörde.',
    'Ob ein Zahlungsempfänger überhaupt gemeldet wird, hängt davon ab, was er ist: Zahlungen an Kapitalgesellschaften etwa werden es meist nicht. Das Programm weiß das nicht.',
    'Eine Miete zählt als Mieteinnahme, ein gemeinsamer Betrieb nicht, wie es die Vereinbarung sagt. Ist eine Vereinbarung nicht, was sie heißt, sind die Zahlen falsch.',
    'Eine Zahlung zählt an dem Tag, an dem sie geleistet wurde, ausgelegte Erstattungen und weitergegebene Steuer zuerst. Vorschüsse zählen, wenn Abrechnungen sie tilgen.',
    'Was anders gezahlt wurde, außerhalb der Abrechnungen und Zahlungen in diesen Büchern, ist hier nicht enthalten.',
  ],
  es: [
    'Son sumas de sus libros, no una declaración de impuestos. A quién hay que declarar, y en qué formulario, pregúntelo a su asesor fiscal o a la autoridad tributaria.',
    'Que un beneficiario se declare o no depende de lo que sea: los pagos a sociedades, por ejemplo, casi nunca se declaran. El programa no lo sabe.',
    'Un arrendamiento cuenta como renta y una explotación conjunta no, como dice el contrato. Si un contrato no es lo que dice su nombre, las cifras son erróneas.',
    'Un pago cuenta el día en que se hizo, primero las devoluciones adelantadas y el impuesto trasladado. Los anticipos cuentan cuando las liquidaciones los descuentan.',
    'Lo que se pagó de otro modo, fuera de las liquidaciones y los pagos de estos libros, no está aquí.',
  ],
};
