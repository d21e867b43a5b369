import { language, languageNames, languages, speak } from '../words/language';
import { words } from '../words/words';
import styles from './language-choice.module.css';

/** The languages of the console, each under its own name, for whoever does not read the one that is set. */
export function LanguageChoice() {
  return (
    <div role="group" aria-label={words.frame.language} className={styles.languages}>
      {languages.map((each) => (
        <button key={each} type="button" lang={each} aria-pressed={each === language} onClick={() => (each === language ? undefined : speak(each))}>
          {languageNames[each]}
        </button>
      ))}
    </div>
  );
}
