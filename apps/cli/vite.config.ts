import { defineConfig } from 'vite';

/** One file; our own libraries are put in, npm packages stay outside. */
export default defineConfig({
  logLevel: 'warn',
  build: {
    ssr: 'src/main.ts',
    outDir: 'dist',
    target: 'node20',
    sourcemap: true,
    emptyOutDir: true,
  },
  ssr: { noExternal: [/^@rundlet\//] },
});
