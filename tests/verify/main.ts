/**
 * Asks unreached areas and rest volumes of the demo parts, or of the files given, again by brute force, and
 * exits with 1 where the survey differs. Run by `npm run verify [-- --points N --columns N FILE.stl ...]`.
 */
import { readdirSync, readFileSync } from 'node:fs';
import { basename } from 'node:path';
import { parseArgs } from 'node:util';
import { reachPool } from '../../src/node/reach-pool.js';
import { verifyPart, type Comparison } from './verify-part.js';

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    points: { type: 'string', default: '4000' },
    columns: { type: 'string', default: '300' },
    radii: { type: 'string' },
    tolerance: { type: 'string', default: '0.02' },
  },
});
const paths =
  positionals.length > 0
    ? positionals
    : readdirSync('models')
        .filter((name) => name.endsWith('.stl'))
        .map((name) => `models/${name}`);

const cells = ({ survey, flat, round, interval, agrees }: Comparison): string =>
  [
    survey.toFixed(1).padStart(9),
    flat.toFixed(1).padStart(9),
    round.toFixed(1).padStart(9),
    `±${interval.toFixed(1)}`.padStart(8),
    (survey / flat).toFixed(3).padStart(7),
    agrees ? '  ' : ' !',
  ].join(' ');

const radiiMm = values.radii?.split(',').map(Number);
const options = { toleranceMm: Number(values.tolerance), ...(radiiMm && { radiiMm }) };
const choice = { points: Number(values.points), columns: Number(values.columns), options };
console.log(
  'unreached mm², then rest mm³: survey, facets as they stand, as chords, interval, survey / facets',
);
let differing = 0;
for (const path of paths) {
  console.log(`\n${basename(path)}`);
  for (const { radiusMm, unreached, rest } of await verifyPart(
    readFileSync(path),
    basename(path),
    choice,
    reachPool(),
  )) {
    if (!unreached.agrees || rest?.agrees === false) differing++;
    console.log(`R ${radiusMm}`.padEnd(7) + cells(unreached) + (rest ? cells(rest) : ''));
  }
}
if (differing > 0)
  console.log(`\n${differing} radii differ by more than 3 % and more than the sampling can tell`);
process.exitCode = differing > 0 ? 1 : 0;
