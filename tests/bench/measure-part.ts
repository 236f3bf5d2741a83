/**
 * Surveys one part, all outputs and all processors, and prints its figures as JSON. A process of its own: memory is
 * that of this part alone, and code is compiled anew as it is for a user.
 *
 * node measure-part.js NAME|PATH
 */
import { readFileSync } from 'node:fs';
import { basename } from 'node:path';
import { performance } from 'node:perf_hooks';
import { readPart } from '../../src/read/read-part.js';
import { itemStride, type EngineMaker } from '../../src/reach/reach-engine.js';
import { resolveSetup } from '../../src/resolve-setup.js';
import { surveyPart } from '../../src/survey/survey.js';
import { readyPart, zonesOf } from '../support/pipeline.js';
import { binaryStl } from '../support/stl.js';
import { MADE_PARTS } from './made-parts.js';

export interface PartFigures {
  readonly part: string;
  readonly facets: number;
  readonly facetsClassed: number;
  readonly facetsRefined: number;
  /** points, edges and columns, of all cutters */
  readonly pointsAsked: number;
  /** times that reach was asked for together */
  readonly waves: number;
  readonly wallSeconds: number;
  readonly cpuSeconds: number;
  readonly memoryMB: number;
  /** s of wall clock by stage */
  readonly stages: Readonly<Record<string, number>>;
}

/** An engine that counts what is asked. */
const counted =
  (make: EngineMaker, counts: { points: number; waves: number }): EngineMaker =>
  (data) => {
    const engine = make(data);
    return {
      run: (task, signal, onDone) => {
        counts.points += task.items.length / itemStride(task);
        if (task.kind === 'reach') counts.waves++;
        return engine.run(task, signal, onDone);
      },
      close: () => engine.close(),
    };
  };

/** Facets in a binary glTF: those of all its primitives. */
function facetsOf(glb: Uint8Array): number {
  const view = new DataView(glb.buffer, glb.byteOffset);
  const { meshes, accessors } = JSON.parse(
    new TextDecoder().decode(glb.subarray(20, 20 + view.getUint32(12, true))),
  ) as {
    readonly meshes: readonly { readonly primitives: readonly { readonly indices: number }[] }[];
    readonly accessors: readonly { readonly count: number }[];
  };
  return meshes
    .flatMap(({ primitives }) => primitives)
    .reduce((sum, { indices }) => sum + Math.floor(accessors[indices].count / 3), 0);
}

export async function measurePart(part: string, make: EngineMaker): Promise<PartFigures> {
  const made = MADE_PARTS[part]?.();
  const bytes = made ? binaryStl(made) : readFileSync(part);
  const name = made ? 'part.stl' : basename(part);
  const unit = made ? 'mm' : 'auto';
  const setup = resolveSetup(undefined, { unit });
  const counts = { points: 0, waves: 0 },
    stages: Record<string, number> = {};
  const start = performance.now();
  let stage = 'start',
    since = start;
  const progress = (next: string): void => {
    const now = performance.now();
    stages[stage] = (stages[stage] ?? 0) + (now - since) / 1000;
    stage = next;
    since = now;
  };
  const cpu = process.cpuUsage();
  const { plan, files } = await surveyPart(bytes, name, setup, { progress }, counted(make, counts));
  progress('end');
  const used = process.cpuUsage(cpu),
    memoryMB = process.resourceUsage().maxRSS / 1024;
  const { corners } = await readPart(bytes, { name, unit });
  return {
    part: basename(part),
    facets: plan.mesh.triangles,
    facetsClassed: zonesOf(readyPart(corners)).surface.mesh.triangles.length / 3,
    facetsRefined: facetsOf(files.get('part.glb') as Uint8Array),
    pointsAsked: counts.points,
    waves: counts.waves,
    wallSeconds: rounded((since - start) / 1000),
    cpuSeconds: rounded((used.user + used.system) / 1e6),
    memoryMB: Math.round(memoryMB),
    stages: Object.fromEntries(Object.entries(stages).map(([key, seconds]) => [key, rounded(seconds)])),
  };
}

const rounded = (seconds: number): number => Math.round(100 * seconds) / 100;

if (import.meta.url === `file://${process.argv[1]}`) {
  // Threads are only loaded here: a test that measures has none.
  const { reachPool } = await import('../../src/node/index.js');
  console.log(JSON.stringify(await measurePart(process.argv[2], reachPool())));
}
