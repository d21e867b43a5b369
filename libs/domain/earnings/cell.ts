/** What one game took at one place, as the model reads it. */
export interface Cell {
  readonly placeId: string;
  readonly gameId: string;
  /** Days in service that were counted; above zero. */
  readonly days: number;
  /** Count intervals that they come from. */
  readonly intervals: number;
  /** Mean, by days, of the logarithm of one plus the takings a day (in whole units of the currency). */
  readonly meanLog: number;
  /** Mean of its square, by days. */
  readonly meanSquareLog: number;
}
