/** Runs every bench of this folder, or those whose name holds the first argument. Run by `npm run bench`. */
import { readdirSync } from 'node:fs';

const wanted = process.argv[2] ?? '';
const benches = readdirSync(new URL('.', import.meta.url))
  .filter((name) => name.endsWith('.bench.js'))
  .sort();
for (const name of benches.filter((one) => one.includes(wanted))) {
  console.log(`\n${name.replace('.bench.js', '')}`);
  await import(new URL(name, import.meta.url).href);
}
