/** Kurze Antworten neben einem Knopf, nach dem Code der Ablehnung. */
export const refusals: Readonly<Record<string, string>> = {
  'wrong-state': 'Jemand war inzwischen schneller. Die Liste wurde neu gelesen.',
  'changed-meanwhile': 'Das hat sich geändert, seit Sie es gesehen haben. Die Liste wurde neu gelesen.',
  'draft-is-stale': 'Zählungen oder Vereinbarung haben sich seit der Abrechnung geändert. Öffnen Sie den Entwurf und berechnen Sie ihn neu.',
  'not-allowed': 'Ihre Rolle erlaubt das nicht.',
  'statement-in-preparation': 'Wird noch erstellt. Versuchen Sie es gleich noch einmal.',
  'statement-not-issued': 'Vor dem Ausstellen der Abrechnung gibt es keinen Beleg.',
  'flags-open': 'Differenzen zwischen Zählung und Zählwerk sind noch nicht erklärt. Sie stehen unter Differenzen, Meldungen.',
  'settlement-held': 'Der Entwurf ist zurückgestellt. Geben Sie ihn zuerst frei.',
  'cannot-be-settled': 'Dieser Abrechnung steht etwas im Weg. Öffnen Sie sie und prüfen Sie sie dort: Dann steht da, was es ist.',
  'boxes-not-counted': 'Ein Gerät verließ den Standort, und niemand hat gezählt, was in seiner Kasse war. Öffnen Sie die Abrechnung und prüfen Sie sie dort: Dann steht da, welches.',
  'limits-not-kept': 'Die Zahlen verletzen eine Grenze, die das Recht am Ort setzt. Öffnen Sie die Abrechnung und prüfen Sie sie dort: Dann steht da, welche.',
  'journal-closed': 'Das Journal ist für diesen Tag geschlossen. Bitten Sie einen Inhaber, den Monat im Journal wieder zu öffnen.',
};
