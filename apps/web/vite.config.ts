import { defineConfig } from 'vite';

const server = process.env['RUNDLET_SERVER'] ?? 'http://127.0.0.1:8080';

export default defineConfig({
  build: {
    outDir: 'dist',
    sourcemap: true,
    target: 'es2023',
    // Fonts, pictures and the decoder stay files of their own: the page's policy refuses data addresses in scripts.
    assetsInlineLimit: 0,
    rolldownOptions: {
      // Libraries mark files for server rendering, which is not done here.
      onLog: (level, log, next) => {
        if (log.code !== 'MODULE_LEVEL_DIRECTIVE') next(level, log);
      },
    },
  },
  worker: {
    format: 'es',
    rolldownOptions: {
      // The decoder's package does not say that its files may be left out one by one; two thirds of them are not needed here.
      treeshake: { moduleSideEffects: (id) => !id.includes('@zxing/library') },
    },
  },
  server: { proxy: { '/api': server } },
});
