/** What an operator decided about the custody of keys, as far as recording an event asks. */
export type CustodyRules = {
  /** Cash-box keys may go from one person to another; otherwise they go back to the custodian first. */
  readonly directHandOver: boolean;
  /** How long giver and receiver have to confirm. */
  readonly acknowledgeWithinHours: number;
  /** There is only one person, so that nobody else can correct: what is recorded so is labelled. */
  readonly onePerson: boolean;
};

/** Where an operator decided nothing: the strict side of each question. */
export const strictRules: CustodyRules = { directHandOver: false, acknowledgeWithinHours: 48, onePerson: false };
