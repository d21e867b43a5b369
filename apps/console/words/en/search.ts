export const search = {
  title: 'Search',
  label: 'What are you looking for?',
  hint: 'A name, a code, a tag or the number of a statement; two letters are enough.',
  shortcut: (keys: string) => `${keys} brings you here from every page.`,
  none: (text: string) => `Nothing that you may see is called “${text}”.`,
  found: (count: number) => (count === 1 ? 'One thing found' : `${count} things found`),
  more: 'There are more: add a word or a digit.',
  kinds: {
    site: 'Sites',
    machine: 'Machines',
    settlement: 'Statements',
    party: 'Parties to agreements',
    person: 'People',
    'key-code': 'Cuts of keys',
    'key-copy': 'Keys',
  },
};
