const { default: Sequencer } = require('@jest/test-sequencer');

/** The corpus of issued settlements first: a run ends with the first test that fails. */
module.exports = class extends Sequencer {
  sort(tests) {
    const isCorpus = ({ path }) => path.endsWith('/issued.test.ts');
    return [...tests].sort((first, second) => Number(isCorpus(second)) - Number(isCorpus(first)) || (first.path < second.path ? -1 : 1));
  }
};
