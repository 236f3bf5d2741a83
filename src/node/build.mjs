// The build. In JavaScript, since it is what takes the types off all other modules.
import { readdirSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { rolldown } from 'rolldown';

const src = fileURLToPath(new URL('..', import.meta.url));
const dist = fileURLToPath(new URL('../../dist', import.meta.url));

// Each module of `src` becomes one of `dist` at the same place. Types are not checked, which takes ten times as
// long: `npm run check` does, before the tests.
const build = await rolldown({
  input: readdirSync(src, { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.ts') && !name.endsWith('.d.ts'))
    .map((name) => src + name),
  platform: 'node',
  logLevel: 'warn',
  // Packages stay where they are: all that is not a path, which on some systems begins with the letter of a drive.
  external: /^(?![./]|[a-z]:[\\/])/i,
});
await build.write({ dir: dist, format: 'esm', preserveModules: true, preserveModulesRoot: src });
await build.close();

for (const step of ['write-schemas', 'bundle-page']) await import(`../../dist/node/${step}.js`);

// The thread that does the work starts in half the time from one file: alone it looks five hundred up.
const worker = await rolldown({
  input: `${dist}/node/engine-worker.js`,
  platform: 'node',
  logLevel: 'warn',
  // The viewer is a module of the build, and the decoder looks for a file beside it.
  external: ['#viewer-script', /^draco3dgltf\//],
});
await worker.write({ dir: `${dist}/node`, format: 'esm', codeSplitting: false });
await worker.close();
