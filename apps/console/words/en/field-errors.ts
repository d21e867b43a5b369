/** What is wrong with a field, by the code of the api. The api speaks English: its own sentence says more than one by the code could. */
export const fieldErrors: Readonly<Record<string, string>> = {};
