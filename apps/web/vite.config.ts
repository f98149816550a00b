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
  worker: { format: 'es' },
  server: { proxy: { '/api': server } },
});
