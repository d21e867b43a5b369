import { language } from '../words/language';
import { localeOf } from './locale-of';

/** The variety of the language of this page that the reader has. Whatever writes numbers, dates, lists or names takes it from here. */
export const locale: string = localeOf(language);
