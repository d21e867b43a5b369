import react from '@vitejs/plugin-react';
import { join } from 'node:path';
import { defaultClientConditions, defineConfig, type Plugin } from 'vite';

/**
 * What draws the console starts when the words of the reader's language are there (main.tsx). The page asks for its files
 * at once all the same, so that the two come side by side.
 */
function preloadStart(): Plugin {
  return {
    name: 'preload-start',
    transformIndexHtml: {
      order: 'post',
      handler(html, { bundle = {} }) {
        const start = Object.values(bundle).find((file) => file.type === 'chunk' && file.isDynamicEntry && file.name === 'start');
        if (start?.type !== 'chunk') return html;
        const scripts = [start.fileName, ...start.imports].map((name) => `<link rel="modulepreload" crossorigin href="/${name}">`);
        const styles = [...(start.viteMetadata?.importedCss ?? [])].map((name) => `<link rel="stylesheet" crossorigin href="/${name}">`);
        // What every screen shares has the last word over what a screen says of itself, and so is named last.
        return html.replace('<link rel="stylesheet"', () => [...scripts, ...styles, '<link rel="stylesheet"'].join('\n    '));
      },
    },
  };
}

/**
 * The console is plain files that the api serves. Nothing is inlined: the api's content security policy allows
 * scripts, styles and fonts from its own address only.
 */
export default defineConfig({
  root: import.meta.dirname,
  plugins: [react(), preloadStart()],
  resolve: { conditions: ['src', ...defaultClientConditions] },
  build: {
    outDir: '../../dist/apps/console',
    emptyOutDir: true,
    target: 'es2023',
    assetsInlineLimit: 0,
    rollupOptions: {
      input: { index: join(import.meta.dirname, 'index.html'), 'service-worker': join(import.meta.dirname, 'phone/service-worker.ts') },
      // A service worker has the addresses below its own, and is asked for under one name for ever.
      output: { entryFileNames: ({ name }) => (name === 'service-worker' ? '[name].js' : 'assets/[name]-[hash].js') },
    },
  },
  server: { proxy: { '/v1': { target: process.env.CONSOLE_API ?? 'http://127.0.0.1:3000', changeOrigin: false } } },
});
