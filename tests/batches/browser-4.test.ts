import '../browser/support/console';
import { runBatch } from '../support/batch';

// The browser, loaded first of all here, is closed after the last of the files.
runBatch({ folder: 'tests/browser', number: 4 });
