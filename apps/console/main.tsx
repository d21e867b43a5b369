import './styles/tokens.css';
import './styles/base.css';
import './styles/parts.css';
import { language } from './words/language';
import { fetchFirstWords } from './words/words';

const place = document.getElementById('console');
if (place === null) throw new Error('The page has no place for the console');

document.documentElement.lang = language;
// The script that draws is preloaded by the page (vite.config.mts) and starts when the words are there.
void fetchFirstWords().then(async () => (await import('./start')).start(place));
