/** Asks what the survey says again, by brute force and by what must hold of it: `HELP` says how it is run. */
import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { basename } from 'node:path';
import { performance } from 'node:perf_hooks';
import { parseArgs } from 'node:util';
import { reachPool } from '../../src/node/reach-pool.js';
import { binaryStl } from '../support/stl.js';
import { verifyPart, type Comparison } from './verify-part.js';

const HELP = `npm run verify -- [--points N] [--columns N] [--radii MM,MM] [--tolerance MM] [FILE.stl ...]
  Unreached areas and rest volumes of the files, by default the demo parts, against brute force.
npm run verify -- --seeds A..B [--points N] [--columns N] [--write DIR]
  Parts made from seeds A to B, surveyed as made, turned and finer: sums, likeness and brute force, a line each.
  --write keeps the STL of each part that breaks something.
--points, --columns: of brute force; by default 4000 and 300, of seeds 400 and 60; of seeds none with --points 0
Exit code 1 where the survey differs, or does not hold.`;

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    points: { type: 'string' },
    columns: { type: 'string' },
    radii: { type: 'string' },
    tolerance: { type: 'string', default: '0.02' },
    seeds: { type: 'string' },
    write: { type: 'string' },
    help: { type: 'boolean' },
  },
});

const cells = ({ survey, flat, round, interval, agrees }: Comparison): string =>
  [
    survey.toFixed(1).padStart(9),
    flat.toFixed(1).padStart(9),
    round.toFixed(1).padStart(9),
    `±${interval.toFixed(1)}`.padStart(8),
    (survey / flat).toFixed(3).padStart(7),
    agrees ? '  ' : ' !',
  ].join(' ');

/** How many radii differ. */
async function verifyFiles(paths: readonly string[]): Promise<number> {
  const radiiMm = values.radii?.split(',').map(Number);
  const options = { toleranceMm: Number(values.tolerance), ...(radiiMm && { radiiMm }) };
  const choice = { points: Number(values.points ?? 4000), columns: Number(values.columns ?? 300), options };
  console.log(
    'unreached mm², then rest mm³: survey, facets as they stand, as chords, interval, survey / facets',
  );
  let differing = 0;
  for (const path of paths) {
    console.log(`\n${basename(path)}`);
    const verified = await verifyPart(readFileSync(path), basename(path), choice, reachPool());
    for (const { radiusMm, unreached, rest } of verified) {
      if (!unreached.agrees || rest?.agrees === false) differing++;
      console.log(`R ${radiusMm}`.padEnd(7) + cells(unreached) + (rest ? cells(rest) : ''));
    }
  }
  if (differing > 0)
    console.log(`\n${differing} radii differ by more than 3 % and more than the sampling can tell`);
  return differing;
}

/** How many parts break something. */
async function verifySeeds(first: number, last: number): Promise<number> {
  // The solids library is read in for seeds alone.
  const { checkMade } = await import('./made/check-made.js');
  const choice = { points: Number(values.points ?? 400), columns: Number(values.columns ?? 60) };
  let breaking = 0;
  for (let seed = first; seed <= last; seed++) {
    const start = performance.now();
    const { part, facets, breaks } = await checkMade(seed, { ...choice, makeEngine: reachPool() });
    const size = [part.blank.sizeX, part.blank.sizeY, part.blank.height].map((mm) => mm.toFixed(0));
    const seconds = ((performance.now() - start) / 1000).toFixed(0);
    const told = breaks.length === 0 ? 'holds' : [...new Set(breaks.map((one) => one.invariant))].join('; ');
    console.log(
      `seed ${seed}  ${part.name}, ${size.join(' x ')} mm, chords ${part.chordMm.toFixed(3)}, ` +
        `${facets} facets, ${seconds} s: ${told}`,
    );
    for (const { invariant, detail } of breaks) console.log(`    ${invariant}: ${detail}`);
    if (breaks.length === 0) continue;
    breaking++;
    if (values.write) writeFileSync(`${values.write}/seed-${seed}.stl`, binaryStl(part.corners()));
  }
  return breaking;
}

const demoParts = (): string[] =>
  readdirSync('models')
    .filter((name) => name.endsWith('.stl'))
    .map((name) => `models/${name}`);

async function main(): Promise<number> {
  if (values.help) {
    console.log(HELP);
    return 0;
  }
  if (values.seeds === undefined) return verifyFiles(positionals.length > 0 ? positionals : demoParts());
  const range = /^(\d+)(?:\.\.(\d+))?$/.exec(values.seeds);
  if (!range) throw new RangeError(`--seeds ${values.seeds}: A..B expected`);
  return verifySeeds(Number(range[1]), Number(range[2] ?? range[1]));
}

process.exitCode = (await main()) > 0 ? 1 : 0;
