/** Whether that is what a meter can show: 1 to 12 digits, as the api takes them; spaces around them do not matter. */
export const isShown = (typed: string): boolean => /^\d{1,12}$/.test(typed.trim());
