import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vite';

/** Files that run on plain Node; our own libraries are put in, npm packages stay outside. */
export default defineConfig({
  root: fileURLToPath(new URL('.', import.meta.url)),
  logLevel: 'warn',
  build: {
    ssr: true,
    rollupOptions: { input: ['main.ts', 'grow.ts'] },
    target: 'node20',
    outDir: 'dist',
    emptyOutDir: true,
    sourcemap: true,
  },
  ssr: { noExternal: [/^@rundlet\//] },
});
