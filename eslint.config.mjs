// Style is a check that fails. Lengths follow one rule of thumb: what does not fit on a few screens has a seam.
import tseslint from 'typescript-eslint';

const lengths = (maxLines) => ({
  'max-lines': ['error', { max: maxLines, skipBlankLines: false, skipComments: false }],
  'max-lines-per-function': ['error', { max: 70, skipBlankLines: true, skipComments: true, IIFEs: true }],
});

export default tseslint.config(
  { ignores: ['dist/', 'node_modules/', 'coverage/', 'data/', 'prisma/generated/', 'apps/console/generated/', '**/*.js', '**/*.mjs', '.config/*.cjs'] },
  ...tseslint.configs.recommendedTypeChecked,
  {
    languageOptions: { parserOptions: { projectService: true, tsconfigRootDir: import.meta.dirname } },
    linterOptions: { reportUnusedDisableDirectives: 'error', noInlineConfig: true },
    rules: {
      ...lengths(400),
      '@typescript-eslint/no-explicit-any': 'error',
      '@typescript-eslint/no-floating-promises': 'error',
      '@typescript-eslint/switch-exhaustiveness-check': ['error', { considerDefaultExhaustiveForUnions: true }],
      '@typescript-eslint/no-unused-vars': ['error', { argsIgnorePattern: '^_', varsIgnorePattern: '^_' }],
      '@typescript-eslint/consistent-type-imports': 'off', // Nest reads parameter types at run time.
      '@typescript-eslint/require-await': 'off', // Implementations of an asynchronous interface may have nothing to wait for.
      '@typescript-eslint/restrict-template-expressions': ['error', { allowNumber: true, allow: [{ name: 'bigint', from: 'lib' }] }],
      'no-console': 'error',
      'no-warning-comments': ['error', { terms: ['todo', 'fixme', 'xxx'], location: 'start' }],
      eqeqeq: 'error',
      'no-restricted-properties': [
        'error',
        { object: 'Math', property: 'round', message: 'Money is rounded by #domain/money, half-up on integers.' },
        { property: 'toFixed', message: 'Amounts are printed from minor units by #domain/money.' },
      ],
      'no-restricted-globals': ['error', { name: 'parseFloat', message: 'No amount is ever read as a binary float.' }],
    },
  },
  {
    // The trade is pure: no clock, no randomness, no input or output.
    files: ['libs/domain/**/*.ts'],
    ignores: ['**/*.test.ts'],
    rules: {
      ...lengths(200),
      'no-restricted-globals': [
        'error',
        { name: 'parseFloat', message: 'No amount is ever read as a binary float.' },
        { name: 'Date', message: 'The domain knows local dates only; instants are turned into them before they come in.' },
        { name: 'process', message: 'The domain runs in the browser too.' },
        { name: 'Buffer', message: 'The domain runs in the browser too.' },
      ],
      'no-restricted-syntax': ['error', { selector: "MemberExpression[object.name='Math'][property.name='random']", message: 'The domain gives the same answer twice.' }],
    },
  },
  {
    // A test tells a story; its length is no sign of a missing seam, a describe block's least of all.
    files: ['**/*.test.ts', '**/*.test.tsx', 'tests/**/*.ts'],
    rules: {
      'max-lines-per-function': 'off',
      '@typescript-eslint/no-unsafe-assignment': 'off',
      '@typescript-eslint/no-unsafe-member-access': 'off',
      '@typescript-eslint/no-unsafe-argument': 'off',
      '@typescript-eslint/no-unsafe-call': 'off',
      '@typescript-eslint/no-unsafe-return': 'off',
      'no-restricted-properties': 'off',
      'no-restricted-syntax': ['error', { selector: "CallExpression[callee.property.name='only']", message: 'A focused test switches off the others.' }],
    },
  },
  {
    files: ['apps/console/**/*.ts', 'apps/console/**/*.tsx'],
    // What waits on a phone is sent one after the other, by itself and not by a press.
    ignores: ['apps/console/parts/use-mutation.ts', 'apps/console/phone/use-phone.ts'],
    rules: {
      'no-restricted-imports': ['error', { name: '@tanstack/react-query', importNames: ['useMutation'], message: 'The one of parts/use-mutation is not set off twice by two quick presses.' }],
    },
  },
  {
    files: ['apps/console/**/*.tsx'],
    rules: { 'max-lines-per-function': ['error', { max: 120, skipBlankLines: true, skipComments: true }], 'no-restricted-properties': 'off' },
  },
);
