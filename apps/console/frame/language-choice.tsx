import { language, languageNames, languages, speak, type Language } from '../words/language';
import { words } from '../words/words';
import styles from './language-choice.module.css';

interface LanguageChoiceProps {
  /** Keeps the choice with the account of whoever is signed in. */
  readonly onChoose?: (chosen: Language) => Promise<void>;
}

/** The languages of the console, each under its own name, for whoever does not read the one that is set. */
export function LanguageChoice({ onChoose }: LanguageChoiceProps) {
  // Without a connection it is kept in this browser alone.
  const choose = async (chosen: Language) => {
    await onChoose?.(chosen).catch(() => undefined);
    speak(chosen);
  };
  return (
    <div role="group" aria-label={words.frame.language} className={styles.languages}>
      {languages.map((each) => (
        <button key={each} type="button" lang={each} aria-pressed={each === language} onClick={() => (each === language ? undefined : void choose(each))}>
          {languageNames[each]}
        </button>
      ))}
    </div>
  );
}
