import { parentPort, workerData } from 'node:worker_threads';
import { messageOf, type PartErrorInfo } from '../core/errors.js';
import type { StepLimits } from '../core/context.js';

/** What the worker is started with. */
export interface StepJob {
  readonly bytes: Uint8Array;
  readonly name: string;
  readonly limits: StepLimits;
}

/** What it tells: (9 T) mm, or why not. */
export type StepAnswer = { readonly corners: Float64Array } | { readonly info: PartErrorInfo };

/** The version that this was tried with. */
const PACKAGE = 'occt-import-js@0.0.23';

async function run({ bytes, name, limits }: StepJob): Promise<StepAnswer> {
  const lines: string[] = [];
  const note = (line: string): void => void lines.push(line);
  const loaded = await import('occt-import-js').catch((error: unknown) => {
    if (error instanceof Error && 'code' in error && error.code === 'ERR_MODULE_NOT_FOUND') return null;
    throw error;
  });
  if (loaded === null) {
    const what = 'a STEP file, which is read through a package of its own that is not installed';
    const remedy = `npm install ${PACKAGE}, or export the part as STL, 3MF or GLB`;
    return { info: { code: 'read.step-reader-missing', where: name, what, remedy } };
  }
  // It would print its complaints where the answer goes.
  const importer = await loaded.default({ print: note, printErr: note });
  try {
    const { success, meshes = [] } = importer.ReadStepFile(bytes, {
      linearUnit: 'millimeter',
      linearDeflectionType: 'absolute_value',
      linearDeflection: limits.chordMm,
      angularDeflection: limits.angleRad,
    });
    if (!success) return { info: unreadable(name, reasonIn(lines)) };
    return { corners: cornersOf(meshes) };
  } catch (error) {
    // A number is the address of an error inside of it, mostly for want of memory.
    const reason =
      typeof error === 'number' ? 'its reader gave up, mostly for want of memory' : messageOf(error);
    return { info: unreadable(name, reason) };
  }
}

const unreadable = (where: string, reason: string): PartErrorInfo => ({
  code: 'read.damaged',
  where,
  what: `a STEP file that cannot be read (${reason})`,
  remedy: 'export it again, or as STL, 3MF or GLB',
});

/** Its first complaint, without the stars around it. */
const reasonIn = (lines: readonly string[]): string =>
  lines.map((line) => line.replaceAll(/\*+|\s+/g, ' ').trim()).find((line) => line !== '') ??
  'no reason given';

type Meshes = readonly {
  readonly attributes: { readonly position: { readonly array: readonly number[] } };
  readonly index: { readonly array: readonly number[] };
}[];

function cornersOf(meshes: Meshes): Float64Array {
  const corners = new Float64Array(3 * meshes.reduce((sum, { index }) => sum + index.array.length, 0));
  let at = 0;
  for (const { attributes, index } of meshes) {
    for (const v of index.array) {
      for (let i = 0; i < 3; i++) corners[at++] = attributes.position.array[3 * v + i];
    }
  }
  return corners;
}

const answer = await run(workerData as StepJob);
parentPort?.postMessage(answer, 'corners' in answer ? [answer.corners.buffer as ArrayBuffer] : []);
