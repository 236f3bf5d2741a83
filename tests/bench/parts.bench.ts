/**
 * What whole surveys take: models/, made parts, and those of a folder, each in a process of its own. The reference is
 * the processor time of plain closest points of three-mesh-bvh, so that figures of two machines can be compared.
 *
 * npm run bench parts [-- --quick] [--folder DIR] [--out FILE] [--baseline]
 */
import { spawnSync } from 'node:child_process';
import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { arch, availableParallelism, platform } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { BufferAttribute, BufferGeometry, Vector3 } from 'three';
import { MeshBVH } from 'three-mesh-bvh';
import { MADE_PARTS, waves } from './made-parts.js';
import type { PartFigures } from './measure-part.js';
import { changesFrom, type ComparedFigures } from './part-figures.js';

const BASELINE = 'tests/bench/parts-baseline.json';
/** Waves of more than this take minutes. */
const QUICK = ['plate', 'ribs', 'waves 10 k'];
const REFERENCE_QUERIES = 200_000;

interface Bench {
  readonly machine: string;
  readonly node: string;
  readonly referenceSeconds: number;
  readonly parts: readonly ComparedFigures[];
}

/** Processor seconds of plain queries about a fixed part. */
function referenceSeconds(): number {
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(Float32Array.from(waves(100)), 3));
  const bvh = new MeshBVH(geometry, { verbose: false });
  const point = new Vector3(),
    target = { point: new Vector3(), distance: 0, faceIndex: 0 };
  const start = process.cpuUsage().user;
  for (let i = 0; i < REFERENCE_QUERIES; i++)
    bvh.closestPointToPoint(point.set(((i * 0.618) % 1) * 80, ((i * 0.414) % 1) * 80, 20 + (i % 9)), target);
  return (process.cpuUsage().user - start) / 1e6;
}

function measured(part: string): PartFigures {
  const script = new URL('measure-part.js', import.meta.url).pathname;
  const { stdout, stderr, status } = spawnSync(process.execPath, [script, part], {
    encoding: 'utf8',
    maxBuffer: 1e8,
  });
  if (status !== 0) throw new Error(`${part}: ${stderr}`);
  return JSON.parse(stdout) as PartFigures;
}

const { values } = parseArgs({
  args: process.argv.slice(3),
  options: {
    quick: { type: 'boolean' },
    folder: { type: 'string' },
    out: { type: 'string' },
    baseline: { type: 'boolean' },
  },
});
const models = readdirSync('models')
  .filter((name) => name.endsWith('.stl'))
  .map((name) => join('models', name));
const given = values.folder
  ? readdirSync(values.folder)
      .filter((name) => /\.(stl|glb|gltf|3mf|obj|ply)$/i.test(name))
      .map((name) => join(values.folder ?? '', name))
  : [];
const names = values.quick ? QUICK : [...models, ...Object.keys(MADE_PARTS), ...given];
const before: Bench | null = existsSync(BASELINE) ? JSON.parse(readFileSync(BASELINE, 'utf8')) : null;
const seconds = referenceSeconds();
const parts: ComparedFigures[] = [];
for (const name of names) {
  let figures: PartFigures;
  try {
    figures = measured(name);
  } catch (error) {
    console.log(String(error).trim());
    continue;
  }
  const now = { ...figures, cpu: Math.round((100 * figures.cpuSeconds) / seconds) / 100 };
  parts.push(now);
  console.log(
    `${now.part}: ${now.facets} facets, ${now.facetsClassed} after classes, ${now.facetsRefined} refined, ` +
      `${now.pointsAsked} asked in ${now.waves} waves; ${now.wallSeconds} s, processors ${now.cpuSeconds} s, ` +
      `${now.cpu} times the reference, ${now.memoryMB} MB`,
  );
  for (const change of changesFrom(
    before?.parts.find(({ part }) => part === now.part),
    now,
  ))
    console.log(`  ${change}`);
}
const bench: Bench = {
  machine: `${platform()} ${arch()}, ${availableParallelism()} processors`,
  node: process.version,
  referenceSeconds: seconds,
  parts,
};
const text = `${JSON.stringify(bench, null, 1)}\n`;
if (values.out) writeFileSync(values.out, text);
if (values.baseline) writeFileSync(BASELINE, text);
