import react from '@vitejs/plugin-react';
import { createHash } from 'node:crypto';
import { join } from 'node:path';
import { defaultClientConditions, defineConfig, type Plugin } from 'vite';

const FILE_NAME = 'verifier.html';

/**
 * The page by which a statement is checked: one file that works from a disk, without a network. Its policy names the very
 * script and style that it holds, and allows no connection: it could not send anything if it wanted to.
 */
export default defineConfig({
  root: import.meta.dirname,
  plugins: [react(), oneFile()],
  resolve: {
    conditions: ['src', ...defaultClientConditions],
    alias: { '#statement/page/font-files': join(import.meta.dirname, 'font-files.ts') },
  },
  build: {
    outDir: '../../../dist/apps/console',
    emptyOutDir: false,
    target: 'es2023',
    assetsInlineLimit: Number.MAX_SAFE_INTEGER,
    cssCodeSplit: false,
    modulePreload: false,
    chunkSizeWarningLimit: 10_000,
  },
});

/** Puts script and style into the page, and the page's digest beside it. The same sources give the same bytes. */
function oneFile(): Plugin {
  return {
    name: 'one-file',
    enforce: 'post',
    generateBundle(_options, bundle) {
      let script = '';
      let style = '';
      let html = '';
      for (const [name, file] of Object.entries(bundle)) {
        delete bundle[name];
        if (file.type === 'chunk') script += file.code;
        else if (name.endsWith('.css')) style += String(file.source);
        else if (name.endsWith('.html')) html = String(file.source);
        else throw new Error(`${name} would stand beside the page`);
      }
      // Within a script only the end tag ends it.
      script = script.replaceAll('</script', '<\\/script');
      const policy = [
        "default-src 'none'",
        `script-src 'sha256-${digest(script)}'`,
        `style-src 'sha256-${digest(style)}'`,
        'font-src data:',
        "connect-src 'none'",
        "base-uri 'none'",
        "form-action 'none'",
      ].join('; ');
      const page = html
        .replace(/\s*<script[^>]*><\/script>/g, '')
        .replace(/\s*<link rel="stylesheet"[^>]*>/g, '')
        .replace('<meta charset="utf-8" />', () => `<meta charset="utf-8" />\n    <meta http-equiv="Content-Security-Policy" content="${policy}" />`)
        .replace('</head>', () => `<style>${style}</style>\n  </head>`)
        .replace('</body>', () => `<script type="module">${script}</script>\n  </body>`);
      this.emitFile({ type: 'asset', fileName: FILE_NAME, source: page });
      this.emitFile({ type: 'asset', fileName: `${FILE_NAME}.sha256`, source: `${createHash('sha256').update(page).digest('hex')}  ${FILE_NAME}\n` });
    },
  };
}

function digest(text: string): string {
  return createHash('sha256').update(text).digest('base64');
}
