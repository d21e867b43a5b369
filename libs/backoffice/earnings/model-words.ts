import type { WrittenLanguage } from '#statement/words/languages';

/** How the estimates are made, for who reads them; `priorDays`: the days that each place and game is given towards average. */
export const modelInWords: Readonly<Record<WrittenLanguage, (priorDays: string) => string>> = {
  en: (priorDays) =>
    'What a game takes a day at a place is estimated as the average, times an effect of the place, times an effect of the game (least squares on the logarithm of one plus the takings a day; ' +
    `each day counts alike, and each place and game is drawn towards average as if it had ${priorDays} more days of it, which is what their spread says). Days out of order are no days; the season is not taken into account. A range holds in nine of ten cases if the model does. It is a hint where to look, and no amount that anybody owes.`,
  de: (priorDays) =>
    'Was ein Spiel an einem Ort am Tag einnimmt, wird geschätzt als Durchschnitt mal einer Wirkung des Ortes mal einer Wirkung des Spiels (kleinste Quadrate über den Logarithmus von eins plus den Einnahmen am Tag; ' +
    `jeder Tag zählt gleich, und jeder Ort und jedes Spiel wird zum Durchschnitt gezogen, als hätte es ${priorDays} weitere Tage davon: so viel sagt ihre Streuung). Ausfalltage sind keine Tage; die Jahreszeit ist nicht berücksichtigt. Ein Bereich gilt in neun von zehn Fällen, wenn das Modell gilt. Es ist ein Hinweis, wo man hinsehen kann, und kein Betrag, den jemand schuldet.`,
  es: (priorDays) =>
    'Lo que un juego recauda al día en un local se estima como la media, por un efecto del local, por un efecto del juego (mínimos cuadrados sobre el logaritmo de uno más la recaudación diaria; ' +
    `cada día cuenta igual, y cada local y cada juego se acerca a la media como si tuviera ${priorDays} días más de ella, que es lo que dice su dispersión). Los días de avería no son días; la temporada no se tiene en cuenta. Un intervalo se cumple en nueve de cada diez casos si el modelo se cumple. Es una pista de dónde mirar, y no un importe que alguien deba.`,
};
