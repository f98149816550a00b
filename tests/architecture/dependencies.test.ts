import { readdirSync, readFileSync } from 'node:fs';
import { isBuiltin } from 'node:module';
import ts from 'typescript';
import { expect, test } from 'vitest';

/** What each library may import. Dependencies point one way: pure libraries → domain → server; contracts → client → apps. */
const LIBRARIES: Readonly<Record<string, readonly string[]>> = {
  alcoholometry: [],
  gauging: ['@rundlet/alcoholometry'],
  identifiers: [],
  contracts: ['zod'],
  maturation: ['@rundlet/alcoholometry'],
  blending: ['@rundlet/alcoholometry', 'highs'],
  labels: ['@cantoo/pdf-lib', 'bwip-js', 'fflate', 'fontkit', 'jsonc-parser', 'zod'],
  reading: ['@zxing/library', 'zxing-wasm'],
  statements: ['@noble/curves', '@noble/hashes', '@scure/base', 'zod'],
  domain: [
    '@rundlet/alcoholometry',
    '@rundlet/contracts',
    '@rundlet/gauging',
    '@rundlet/identifiers',
    '@rundlet/statements',
    '@noble/hashes',
  ],
  epcis: ['@rundlet/contracts', 'zod'],
  client: ['@rundlet/contracts', '@scure/base', 'zod'],
};
const APPS = ['server', 'web', 'cli'];

test('every library is listed here', () => {
  expect(readdirSync('libs').sort()).toEqual(Object.keys(LIBRARIES).sort());
});

test.each(Object.entries(LIBRARIES))('libs/%s imports only what it may', (library, allowed) => {
  const offences = importsIn(`libs/${library}/src`).filter(
    ({ to }) => !allowed.includes(packageOf(to)),
  );
  expect(offences).toEqual([]);
});

test.each([
  ...Object.keys(LIBRARIES).map((library) => `libs/${library}`),
  ...APPS.map((app) => `apps/${app}`),
])('%s declares what it imports, and needs what it declares', (folder) => {
  const { dependencies = {}, devDependencies = {} } = manifestOf(folder);
  const imported = importsIn(`${folder}/src`).filter(({ to }) => !isBuiltin(to));
  const undeclared = imported.filter(
    ({ to }) => !(packageOf(to) in dependencies) && !(packageOf(to) in devDependencies),
  );
  expect(undeclared).toEqual([]);
  const used = new Set(imported.map(({ to }) => packageOf(to)));
  const idle = Object.keys(dependencies).filter((n) => !used.has(n) && !LOADED_OTHERWISE.has(n));
  expect(idle).toEqual([]);
});

/** Loaded by name at run time, by a library or as a file. */
const LOADED_OTHERWISE = new Set([
  'pg',
  'sqlite3',
  'rxjs',
  'express',
  'dejavu-fonts-ttf',
  'zxing-wasm',
]);

test.each([...Object.keys(LIBRARIES).map((l) => `libs/${l}`), ...APPS.map((a) => `apps/${a}`)])(
  '%s reaches into no other package’s files',
  (folder) => {
    const offences = relativeImportsIn(`${folder}/src`).filter(({ leaves }) => leaves);
    expect(offences).toEqual([]);
  },
);

test('in the server, features do not import one another’s controllers, and only main starts it', () => {
  const offences = relativeImportsIn('apps/server/src').filter(
    ({ from, to }) =>
      (/\.controller\.ts$/.test(to) && !/\.module\.ts$/.test(from)) || /\/main\.ts$/.test(to),
  );
  expect(offences).toEqual([]);
});

test('TypeORM is known to the database folder and to verification only', () => {
  const offences = importsIn('apps/server/src').filter(
    ({ from, to }) =>
      to === 'typeorm' &&
      !from.startsWith('apps/server/src/database/') &&
      !ALSO_CONNECTING.includes(from),
  );
  expect(offences).toEqual([]);
});
/** These open a connection of their own, to read only. */
const ALSO_CONNECTING = [
  'apps/server/src/journal/verification-source.ts',
  'apps/server/src/jobs/worker-database.ts',
];

interface Import {
  readonly from: string;
  readonly to: string;
}

function importsIn(folder: string): Import[] {
  return allImportsIn(folder).filter(({ to }) => !to.startsWith('.'));
}

function relativeImportsIn(folder: string): (Import & { leaves: boolean })[] {
  return allImportsIn(folder)
    .filter(({ to }) => to.startsWith('.'))
    .map((i) => {
      const up = i.to.split('/').filter((step) => step === '..').length;
      const depth = i.from.slice(folder.length + 1).split('/').length - 1;
      return { ...i, leaves: up > depth };
    });
}

function allImportsIn(folder: string): Import[] {
  return readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .filter((file) => /\.tsx?$/.test(file) && !/\.test\.tsx?$/.test(file))
    .flatMap((file) => {
      const { importedFiles } = ts.preProcessFile(readFileSync(`${folder}/${file}`, 'utf8'));
      return importedFiles.map(({ fileName }) => ({ from: `${folder}/${file}`, to: fileName }));
    })
    .map(({ from, to }) => ({ from, to: to.replace(/\?.*$/, '') }));
}

function manifestOf(folder: string): {
  dependencies?: Record<string, string>;
  devDependencies?: Record<string, string>;
} {
  return JSON.parse(readFileSync(`${folder}/package.json`, 'utf8')) as ReturnType<
    typeof manifestOf
  >;
}

function packageOf(specifier: string): string {
  return specifier
    .split('/')
    .slice(0, specifier.startsWith('@') ? 2 : 1)
    .join('/');
}
