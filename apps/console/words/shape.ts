import type { en } from './en';
import type { enPages } from './en-pages';

/** What a catalogue in any language has to hold: the same keys and parameters as in English, other texts. */
type Spoken<Text> = Text extends string
  ? string
  : Text extends (...figures: infer Figures) => infer Said
    ? (...figures: Figures) => Spoken<Said>
    : { readonly [Key in keyof Text]: Spoken<Text[Key]> };

/** What is said on the first screens and everywhere. */
export type FirstWords = Spoken<typeof en>;

/** What the screens say that come when somebody goes there. */
export type PageWords = Spoken<typeof enPages>;
