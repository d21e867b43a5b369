import { language } from '../words/language';

/**
 * The reader's own variety of the language that the texts are in: someone who reads English in Ireland gets Irish dates
 * and figures, and nobody gets a German month inside an English sentence.
 */
export const locale: string = navigator.languages.find((each) => each.split('-')[0] === language) ?? language;
