import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { defineConfig } from 'vite';

// Second pass: the service worker learns the hashed file names that the first pass produced, workers' files included.
const files = readdirSync('dist', { recursive: true, withFileTypes: true })
  .filter((entry) => entry.isFile())
  .map((entry) => `${entry.parentPath}/${entry.name}`.replace(/^dist/, ''))
  .filter((file) => !/\.map$|^\/\.vite\/|^\/index\.html$|^\/sw\.js/.test(file))
  .sort();
const version = createHash('sha256')
  .update(files.join('\n'))
  .update(readFileSync('dist/index.html'))
  .digest('hex')
  .slice(0, 12);
const isLarge = (file: string): boolean => file.endsWith('.wasm');

export default defineConfig({
  publicDir: false,
  define: {
    __SHELL__: JSON.stringify(['/', ...files.filter((file) => !isLarge(file))]),
    __LATER__: JSON.stringify(files.filter(isLarge)),
    __VERSION__: JSON.stringify(version),
  },
  build: {
    outDir: 'dist',
    emptyOutDir: false,
    target: 'es2023',
    lib: { entry: 'src/sw.ts', formats: ['es'], fileName: () => 'sw.js' },
  },
});
