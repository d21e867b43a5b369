/** What ready tax areas leave open, by the api's own sentence, which is English. */
export const readyAreaNotes: Readonly<Record<string, string>> = {};
