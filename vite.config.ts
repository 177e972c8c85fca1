import { defineConfig } from 'vite';
import { buildFieldWorker } from './src/web/field/worker/build-field-worker.ts';

/** The pages: two entries, one for the office and one for the field, built into dist/web. */
export default defineConfig({
  root: 'src/web',
  publicDir: 'public',
  plugins: [buildFieldWorker()],
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
      input: {
        office: 'src/web/index.html',
        field: 'src/web/field.html',
        'field-worker': 'src/web/field/worker/field-worker.ts',
      },
      output: {
        // The address of a worker decides which pages it serves, so it must stay.
        entryFileNames: ({ name }) =>
          name === 'field-worker' ? '[name].js' : 'assets/[name]-[hash].js',
      },
    },
  },
});
