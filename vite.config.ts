import { defineConfig } from 'vite';

/** The pages: two entries, one for the office and one for the field, built into dist/web. */
export default defineConfig({
  root: 'src/web',
  publicDir: 'public',
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  build: {
    outDir: '../../dist/web',
    emptyOutDir: true,
    target: 'es2022',
    manifest: 'manifest.json',
    // Everything comes from our own address, so that the content security policy stays strict.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    sourcemap: false,
    rolldownOptions: {
      input: { office: 'src/web/index.html', field: 'src/web/field.html' },
    },
  },
});
