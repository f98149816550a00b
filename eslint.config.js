import js from '@eslint/js';
import ts from 'typescript-eslint';

const project = [
  'tsconfig.libs.json',
  'tsconfig.server.json',
  'tsconfig.web.json',
  'tsconfig.tests.json',
];
const untyped = ['**/sw.ts', '**/vite*.ts', '**/vitest.config.ts', '**/*.js', '**/*.mjs'];

export default ts.config(
  { ignores: ['**/dist', '**/node_modules', '.rundlet'] },
  js.configs.recommended,
  {
    files: ['**/*.{ts,tsx}'],
    ignores: untyped,
    extends: [ts.configs.recommendedTypeChecked],
    languageOptions: { parserOptions: { project, tsconfigRootDir: import.meta.dirname } },
    rules: {
      '@typescript-eslint/consistent-type-imports': 'error',
      '@typescript-eslint/no-floating-promises': 'error',
      '@typescript-eslint/no-explicit-any': 'error',
      '@typescript-eslint/require-await': 'off',
    },
  },
  {
    files: ['libs/**/*.ts'],
    ignores: ['**/*.test.ts'],
    rules: {
      'no-restricted-properties': [
        'error',
        { object: 'Math', property: 'random' },
        { object: 'Date', property: 'now' },
      ],
    },
  },
  {
    files: ['**/*.mjs', '**/*.js'],
    languageOptions: {
      globals: {
        process: 'readonly',
        console: 'readonly',
        URL: 'readonly',
        fetch: 'readonly',
        setTimeout: 'readonly',
      },
    },
  },
  {
    files: ['apps/web/public/**/*.js'],
    languageOptions: { globals: { document: 'readonly', localStorage: 'readonly' } },
  },
  { files: untyped.filter((f) => f.endsWith('.ts')), extends: [ts.configs.recommended] },
);
