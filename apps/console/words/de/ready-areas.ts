/** Was fertige Steuergebiete offen lassen, nach dem Satz der Schnittstelle. */
export const readyAreaNotes: Readonly<Record<string, string>> = {
  'Check with your tax authority or a licensed practitioner before you use it: rates change, and which rule holds depends on the machines and on who controls the cash.':
    'Fragen Sie vor der Verwendung Ihre Steuerbehörde oder eine zugelassene Fachkraft: Sätze ändern sich, und welche Regel gilt, hängt von den Geräten ab und davon, wer über das Bargeld verfügt.',
  'This is the standard rate. Some countries tax amusements at a reduced one.':
    'Das ist der Regelsatz. Manche Länder besteuern Unterhaltungsspiele ermäßigt.',
  'Towns tax machines besides: see your town\'s by-law.':
    'Gemeinden besteuern Geräte zusätzlich: siehe die Satzung Ihrer Gemeinde.',
  'Other places and machines with prizes pay other rates.':
    'Andere Orte und Geräte mit Gewinnen zahlen andere Sätze.',
  'Takings contain the tax and nothing is deducted first, not even theft; dud coin may be disregarded.':
    'Die Einnahmen enthalten die Steuer, und nichts wird vorher abgezogen, auch kein Diebstahl; falsche Münzen dürfen außer Betracht bleiben.',
  'Machines with cash prizes pay machine games duty instead (Finance Act 2012, Sch. 24).':
    'Geräte mit Geldgewinnen zahlen stattdessen die Spielgerätesteuer „machine games duty“ (Finance Act 2012, Sch. 24).',
  'The tax is computed for each reporting period, not for each play or collection.':
    'Die Steuer wird je Meldezeitraum berechnet, nicht je Spiel oder Leerung.',
  'Find the surtax of your county before you choose.':
    'Suchen Sie vor der Auswahl den Zuschlag Ihres Bezirks heraus.',
  'Counties and cities add rates of their own: add them as components. Receipts are charges divided by one plus all rates.':
    'Bezirke und Städte fügen eigene Sätze hinzu: Legen Sie sie als Bestandteile an. Die Bemessungsgrundlage sind die Einnahmen geteilt durch eins plus alle Sätze.',
  'A yearly amount per device, 700 times the sales tax rate, in place of sales tax.':
    'Ein Jahresbetrag je Gerät, das 700-Fache des Verkaufssteuersatzes, anstelle der Verkaufssteuer.',
  'Municipalities and counties may tax machines, too.':
    'Gemeinden und Bezirke dürfen Geräte ebenfalls besteuern.',
  'Decals may be transferred to another device.':
    'Plaketten dürfen auf ein anderes Gerät übertragen werden.',
  'The doubled amount from 2027 on was read in a secondary source.':
    'Der ab 2027 verdoppelte Betrag wurde in einer Sekundärquelle gelesen.',
  'Music and amusement devices; machines that sell goods pay other amounts. The fee stands in place of sales tax.':
    'Musik- und Unterhaltungsgeräte; Verkaufsautomaten zahlen andere Beträge. Die Gebühr tritt an die Stelle der Verkaufssteuer.',
  'There is a master licence of 500, 1,000 or 2,000 dollars a year by number of machines besides, which is no tax of one machine.':
    'Daneben gibt es je nach Zahl der Geräte eine Hauptlizenz von 500, 1.000 oder 2.000 Dollar im Jahr, die keine Steuer eines einzelnen Geräts ist.',
  'There is a licence of 200, 400 or 500 dollars a year by number of machines besides, which is no tax of one machine.':
    'Daneben gibt es je nach Zahl der Geräte eine Lizenz von 200, 400 oder 500 Dollar im Jahr, die keine Steuer eines einzelnen Geräts ist.',
  'The owner is reimbursed the machine tax before the rest is divided.':
    'Dem Inhaber wird die Gerätesteuer erstattet, bevor der Rest geteilt wird.',
  'A device that takes only a single coin of 25 cents or less is free (s. 165.1(2)): give such machines a kind of their own and leave it out.':
    'Ein Gerät, das nur eine einzige Münze bis 25 Cent nimmt, ist frei (s. 165.1(2)): Geben Sie solchen Geräten eine eigene Art und lassen Sie diese weg.',
  'Provinces that take part add their own rate.':
    'Teilnehmende Provinzen fügen ihren eigenen Satz hinzu.',
};
