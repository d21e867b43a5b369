import { count, number } from './counting';

export const collections = {
  title: 'Leerungen',
  bookedIn: (period: string) => `Gebucht auf ${period}`,
  show: 'Anzeigen',
  all: 'Alle',
  none: 'Hier gibt es keine Leerung.',
  day: 'Tag',
  bookedTo: (day: string) => `gebucht auf ${day}`,
  machines: 'Geräte',
  counted: 'Gezählt',
  refunds: 'Erstattet',
  handed: 'Übergeben',
  todo: 'Aktionen',
  discard: {
    action: 'Diese Leerung verwerfen',
    title: 'Diese Leerung verwerfen?',
    what: 'Sie wurde irrtümlich erfasst. Nichts davon zählt mehr, alles bleibt lesbar, und der Besuch kann neu erfasst werden.',
    heading: 'Verworfen',
    when: (moment: string, by: string) => `Verworfen: ${by}, ${moment}. Nichts davon zählt.`,
    withdrawn: (what: string) => `Damit zurückgezogen: ${what}.`,
    alone: 'Von jemandem, der selbst daran beteiligt war, denn es gibt nur eine Person.',
    kinds: {
      counts: (found: number) => count(found, 'Zählung', 'Zählungen'),
      fieldCounts: (found: number) => count(found, 'Zählung am Gerät', 'Zählungen am Gerät'),
      readings: (found: number) => count(found, 'Zählerstand', 'Zählerstände'),
      readingTries: (found: number) => count(found, 'zurückgewiesener Zählerstand', 'zurückgewiesene Zählerstände'),
      refundSlips: (found: number) => count(found, 'Erstattungsbeleg', 'Erstattungsbelege'),
      cashHanded: (found: number) => count(found, 'Quittung über Bargeld', 'Quittungen über Bargeld'),
      bags: (found: number) => count(found, 'Beutel', 'Beutel'),
    },
  },
  accept: 'Annehmen',
  count: 'Zählen',
  enterVisit: 'Besuch erfassen',
  cashOfDay: 'Bargeld des Tages',
  rounds: 'Touren',
  acceptAll: {
    action: (collections: number) => `${number.format(collections)} annehmen`,
    title: (collections: number) => `${count(collections, 'Leerung', 'Leerungen')} annehmen?`,
    what: 'Sie erklären, dass die Zählungen stimmen. Sie kommen in die Bücher; was sich später als falsch erweist, wird daneben berichtigt.',
  },
};

export const collectionState = { open: 'Noch nicht gezählt', counted: 'Wartet auf Annahme', accepted: 'Angenommen', discarded: 'Verworfen' };
