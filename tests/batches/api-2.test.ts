import { runBatch } from '../support/batch';

runBatch({ folder: 'tests/api', number: 2 });
