import { account } from './de/account';
import { collectionState } from './de/collection-state';
import { language, number } from './de/counting';
import { agreementState, monthEnd } from './de/month-end';
import { problems } from './de/problems';
import { broken, chooseOperator, denied, frame, notFound, roles, signIn, unsentVisits } from './de/session';
import { statement } from './de/statement';
import { signature } from './de/signature';
import { journalMonths } from './de/journal-months';
import type { FirstWords } from './shape';

/**
 * Glossar: operator Aufsteller (als Mandant: Betrieb), site Standort, machine Gerät, kind Art, game Spiel, collection Leerung,
 * collector Kassierer, takings Einnahmen (net bereinigt), settlement Abrechnung, statement (das Dokument) Beleg, charge Vorabbetrag,
 * split Teilung, share Anteil, payable Zahlbetrag, advance Vorschuss, write off ausbuchen, refund slip Erstattungsbeleg, meter
 * Zählwerk, reading Zählerstand, variance Differenz, flag Meldung, float Wechselgeld, change fund Wechselgeldbestand, bag Beutel,
 * seal Plombe, counting room Zählraum, round Tour, token Wertmarke, cut Schließung, copy Exemplar, store Verwahrort, place
 * Ablageort, ring Bund, cash-box key Kassenschlüssel, access key Zugangsschlüssel, evidence log Protokoll, key count
 * Schlüsselzählung, board Zählwerksplatine (kurz Platine), remove abholen (Gerät) oder ausbauen (Platine), party Vertragspartei,
 * payment on account Abschlag, payment run Zahlungslauf, card takings Karteneinnahmen, password Passwort.
 */
export const de: FirstWords = {
  language,
  documentTitle: (screen) => `${screen} – Latchledger`,
  loading: 'Wird geladen',
  working: 'Einen Moment …',
  cancel: 'Abbrechen',
  more: 'Mehr zeigen',
  download: 'Als CSV herunterladen',
  downloadRefused: 'Die Datei konnte nicht geholt werden. Versuchen Sie es noch einmal.',
  site: 'Standort',
  machine: 'Gerät',
  machineKind: (kind) => kind.charAt(0).toUpperCase() + kind.slice(1).replaceAll('-', ' '),
  state: 'Stand',
  period: 'Zeitraum',
  recorded: 'Erfasst',
  reason: 'Grund',
  commands: 'Aktionen',
  reasonMissing: 'Geben Sie einen Grund mit mindestens drei Zeichen ein',
  trouble: {
    unreachable: 'Der Server ist nicht erreichbar',
    unreachableAdvice: 'Prüfen Sie die Verbindung. Nichts, was Sie eingegeben haben, ist verloren',
    unreadable: 'Der Server hat eine Antwort gegeben, die hier keinen Sinn ergibt',
    unreadableAdvice: 'Warten Sie einen Moment und versuchen Sie es noch einmal',
    again: 'Noch einmal versuchen',
    inEnglish: 'Auf Englisch, für Rückfragen:',
    requestId: (id) => `Nennen Sie das, wenn Sie es melden: ${id}`,
  },
  actor: { you: 'Sie', colleague: 'jemand aus dem Betrieb', token: 'ein anderes Programm', system: 'Latchledger', operator: 'der Aufsteller' },
  form: {
    notTaken: 'Das wird so nicht angenommen.',
    sendAgain: 'Ob es erfasst wurde, ist nicht bekannt. Senden Sie es von hier noch einmal: Es wird höchstens einmal erfasst',
    problem: (errors) => (errors === 1 ? 'Eine Angabe ist zu berichtigen' : `${number.format(errors)} Angaben sind zu berichtigen`),
  },
  account,
  agreementState,
  broken,
  chooseOperator,
  collectionState,
  denied,
  frame,
  journalMonths,
  monthEnd,
  notFound,
  unsentVisits,
  problems,
  roles,
  signature,
  signIn,
  statement,
};
