import react from '@vitejs/plugin-react';
import { defaultClientConditions, defineConfig } from 'vite';

/**
 * The console is plain files that the api serves. Nothing is inlined: the api's content security policy allows
 * scripts, styles and fonts from its own address only.
 */
export default defineConfig({
  root: import.meta.dirname,
  plugins: [react()],
  resolve: { conditions: ['src', ...defaultClientConditions] },
  build: {
    outDir: '../../dist/apps/console',
    emptyOutDir: true,
    target: 'es2023',
    assetsInlineLimit: 0,
  },
  server: { proxy: { '/v1': { target: process.env.CONSOLE_API ?? 'http://127.0.0.1:3000', changeOrigin: false } } },
});
