import { count } from './counting';

const entries = (value: number): string => count(value, 'Eintrag', 'Einträge');

/** Der Nachweis, dass aus dem Protokoll der Abrechnungen, Belege und Schlüssel nichts verschwand. */
export const evidence = {
  lead: 'Jede Abrechnung, jeder Beleg und alles, was mit einem Schlüssel geschieht, ist ein Eintrag in einem Protokoll, das nur wachsen kann. Wer eine frühere Kopie seines Kopfes hat, kann prüfen, dass davor nichts geändert oder entfernt wurde.',
  now: 'Das Protokoll jetzt',
  holds: ({ size, last }: { size: number; last: string | null }) => `${entries(size)}${last === null ? '' : `, der letzte vom ${last}`}.`,
  empty: 'Das Protokoll hat noch keinen Eintrag.',
  emptyWhat: 'Der erste kommt mit der ersten Abrechnung, die ihre Nummer erhält, oder mit dem ersten Schlüssel.',
  head: 'Protokollkopf',
  headWhat: 'Eine Angabe, die für alle diese Einträge steht: Wäre einer von ihnen anders, wäre auch sie anders.',
  save: 'Kopie für Außenstehende herunterladen',
  copy: {
    title: ({ office, day }: { office: string; day: string }) => `Kopf des Protokolls von ${office}, ${day}`,
    keep: 'Bewahren Sie diese Datei dort auf, wo niemand aus dem Büro sie ändern kann. Mit diesen beiden Angaben lässt sich später prüfen, dass keiner dieser Einträge geändert oder entfernt wurde.',
    command: 'Auf dem Server nennt dieser Befehl den ersten Eintrag, der nicht passt:',
  },
  check: {
    title: 'Ist seitdem etwas verschwunden?',
    lead: 'Geben Sie beide Angaben einer Kopie ein, die außerhalb lag. Sie stehen in der täglichen E-Mail an Inhaber und Prüfer, auf jedem Abrechnungsbeleg und auf jeder Quittung für Schlüssel.',
    size: 'Einträge',
    sizeMissing: 'Geben Sie ein, wie viele Einträge die Kopie umfasst, eine ganze Zahl ab 1',
    rootHint: '64 Ziffern und Buchstaben von a bis f. Leerzeichen spielen keine Rolle.',
    rootMissing: 'Geben Sie alle 64 Stellen des Protokollkopfs ein, nur 0 bis 9 und a bis f',
    action: 'Prüfen',
    compare: 'Diese Kopie prüfen',
    fits: 'Es ist nichts verschwunden.',
    fitsWhat: ({ size, later }: { size: number; later: number }) => `${size === 1 ? 'Der erste Eintrag ist noch so, wie er war' : `Die ersten ${entries(size)} sind noch so, wie sie waren`}, als diese Kopie entstand; ${later === 0 ? 'seitdem kam keiner hinzu' : `seitdem ${later === 1 ? 'kam' : 'kamen'} ${entries(later)} hinzu`}.`,
    fitsNot: 'Diese Kopie passt nicht zum Protokoll.',
    differs: (size: string) => `Sehen Sie zuerst nach, ob beide Angaben so eingegeben sind, wie sie dastehen, und ob die Kopie aus diesem Büro stammt: Die eines anderen passt nur zu dessen Protokoll. Trifft beides zu, wurde einer der ersten ${size} Einträge geändert oder entfernt, seit diese Kopie entstand.`,
    cut: ({ entries: held, present }: { entries: string; present: string }) => `Die Kopie umfasst ${held} Einträge, das Protokoll hat nur ${present}. Sehen Sie zuerst nach, ob die Zahl so eingegeben ist, wie sie dasteht, und ob die Kopie aus diesem Büro stammt. Trifft beides zu, wurde das Ende des Protokolls abgeschnitten.`,
    next: 'Bewahren Sie die Kopie auf und lassen Sie diesen Befehl auf dem Server ausführen. Er nennt den ersten Eintrag, der nicht passt.',
    proof: 'Nachweis herunterladen',
  },
  copies: {
    title: 'Kopien, die hinausgingen',
    lead: 'Wer das Protokoll ändern könnte, könnte auch diese Liste ändern. Beweiskraft hat die E-Mail oder der Zeitstempel selbst, in anderen Händen.',
    mails: 'Per E-Mail, an Inhaber und Prüfer',
    mailed: ({ size, addresses }: { size: number; addresses: number }) => `${entries(size)}, an ${count(addresses, 'Adresse', 'Adressen')}`,
    noMails: 'Noch ging keine hinaus. An jedem Tag, an dem das Protokoll gewachsen ist, geht eine hinaus, sobald ein Mailserver eingerichtet ist.',
    stamps: 'Mit Zeitstempel eines Zeitstempeldienstes',
    stamped: ({ size, authority }: { size: number; authority: string }) => `${entries(size)}, von ${authority}`,
    noStamps: 'Keine. Wer den Server betreut, kann einen Dienst eintragen, der den Kopf jedes Tages stempelt.',
  },
  outside: {
    title: 'Wie Außenstehende es prüfen',
    steps: [
      'Sie bewahren eine Kopie auf: die tägliche E-Mail, einen Abrechnungsbeleg, eine Quittung für Schlüssel oder die Datei von dieser Seite. Sie muss dort liegen, wo niemand aus diesem Büro sie ändern kann.',
      'Später bitten sie Sie um den Nachweis: Geben Sie oben ihre beiden Angaben ein, prüfen Sie und laden Sie ihn herunter.',
      'Der Nachweis führt nach einem offenen Standard (RFC 9162, Abschnitt 2.1.4) von ihrer Kopie zum heutigen Protokoll. Jedes Programm, das den Standard kennt, prüft ihn gegen ihre Kopie, ohne diesen Server.',
      'Wer zwei Abrechnungsbelege hat, braucht von Ihnen keinen Nachweis: Die Seite zum Prüfen von Belegen vergleicht deren Köpfe selbst.',
    ],
  },
  limits: {
    title: 'Was damit bewiesen ist und was nicht',
    says: [
      'Mit einer Kopie, die außerhalb liegt, ist bewiesen, dass davor kein Eintrag geändert, entfernt oder dazwischengeschoben wurde.',
      'Nicht bewiesen ist, was nach dieser Kopie geschah, ob ein Eintrag stimmte, als er geschrieben wurde, und ob es wirklich die Person war, die darin genannt ist.',
      'Ohne eine Kopie außerhalb ist nichts bewiesen: Wer über den Server verfügt, könnte das ganze Protokoll neu schreiben.',
    ],
  },
};
