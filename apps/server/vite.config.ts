import { existsSync, readdirSync } from 'node:fs';
import { basename } from 'node:path';
import { defineConfig } from 'vite';

const WORKERS = 'src/workers';
const workers = existsSync(WORKERS)
  ? readdirSync(WORKERS).filter((file) => file.endsWith('.ts') && !file.endsWith('.test.ts'))
  : [];

/** One file for the server, one for the move to PostgreSQL and one for each worker thread; our own libraries are put in, npm packages stay outside. */
export default defineConfig({
  build: {
    ssr: true,
    target: 'node20',
    outDir: 'dist',
    emptyOutDir: true,
    sourcemap: true,
    rollupOptions: {
      input: {
        main: 'src/main.ts',
        'move-to-postgres': 'src/move-to-postgres.ts',
        ...Object.fromEntries(
          workers.map((file) => [`workers/${basename(file, '.ts')}`, `${WORKERS}/${file}`]),
        ),
      },
      output: { entryFileNames: '[name].js' },
    },
  },
  ssr: { noExternal: [/^@rundlet\//] },
});
