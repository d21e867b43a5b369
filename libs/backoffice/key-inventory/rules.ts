/** What an operator decided about counting keys. */
export type InventoryRules = {
  readonly everyMonths: 1 | 3 | 6;
  /** There is only one person, so that who keeps the keys counts them, too: what is recorded so is labelled. */
  readonly onePerson: boolean;
};

/** Where an operator decided nothing. 25 CFR 543.24(d)(8)(iv): quarterly. */
export const strictInventoryRules: InventoryRules = { everyMonths: 3, onePerson: false };
