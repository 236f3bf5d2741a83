import type { Mesh, Topology } from '../part/types.js';
import type { CutterProfile } from '../cutter/cutter-profile.js';
import type { PartTree } from './part-tree.js';
import { restVolume } from './rest-volume.js';
import type { GapLimits } from './ball-reach.js';
import { cutterCrossings, cutterReached } from './cutter-kernels.js';
import {
  COLUMN_STRIDE,
  CROSSING_STRIDE,
  gapsAt,
  POINT_STRIDE,
  reachCrossings,
  reachRadii,
  thicknessesAt,
} from './reach-kernels.js';

/**
 * Everything an engine must hold to answer; plain data, best in shared memory, so that threads need no
 * copies.
 */
export interface EngineData {
  readonly tree: PartTree;
  readonly limits: GapLimits;
  /** the part, as it was read and repaired */
  readonly mesh: Mesh;
  readonly topology: Topology;
}

/** A batch of questions about reach; for the first three see the kernels of `reach-kernels.ts`. */
export type ReachTask =
  | { readonly kind: 'reach'; readonly items: Float64Array; readonly radii: Float64Array }
  | {
      readonly kind: 'gaps';
      readonly items: Float64Array;
      readonly radius: number;
      /** larger gaps need not be told, mm */
      readonly enoughMm: number;
    }
  | {
      readonly kind: 'crossings';
      readonly items: Float64Array;
      readonly radii: Float64Array;
      readonly accuracyMm: number;
    }
  /** answers: see `thicknessesAt` */
  | {
      readonly kind: 'thicknesses';
      readonly items: Float64Array;
      readonly radius: number;
      readonly topMm: number;
      readonly stockMm: number;
    }
  | CutterTask;

/** The same questions about a cutter of any shape; see the kernels of `cutter-kernels.ts`. */
export type CutterTask =
  | { readonly kind: 'cutter-reached'; readonly items: Float64Array; readonly profile: CutterProfile }
  | {
      readonly kind: 'cutter-crossings';
      readonly items: Float64Array;
      readonly profile: CutterProfile;
      readonly accuracyMm: number;
    }
  /**
   * items: places in the list of profiles, which are without allowance; answers: rest volume, mm³, and its
   * greatest thickness, mm
   */
  | {
      readonly kind: 'cutter-rest';
      readonly items: Float64Array;
      readonly profiles: readonly CutterProfile[];
      readonly stockMm: number;
    };

/** Answers batches. Item i of the answer belongs to item i of the task. */
export interface ReachAnswers {
  /** @param onDone told the fraction answered so far */
  run(task: ReachTask, signal?: AbortSignal, onDone?: (fraction: number) => void): Promise<Float64Array>;
}

/** Answers batches in whatever threads. */
export interface ReachEngine extends ReachAnswers {
  /** Lets the threads go. A closed engine answers nothing more. */
  close(): void;
}

/** Makes an engine. Answers do not depend on which: batches are cut into the same pieces everywhere. */
export type EngineMaker = (data: EngineData) => ReachEngine;

/** Numbers per item of a task. */
export function itemStride({ kind }: ReachTask): number {
  if (kind === 'cutter-rest') return 1;
  if (kind === 'thicknesses') return COLUMN_STRIDE;
  return kind === 'crossings' || kind === 'cutter-crossings' ? CROSSING_STRIDE : POINT_STRIDE;
}

/** Numbers per item of its answer. */
export const answerStride = ({ kind }: ReachTask): number => (kind === 'cutter-rest' ? 2 : 1);

/** Items per piece of work: few enough to balance, enough to pay for the message. */
const pieceItems = ({ kind }: ReachTask): number =>
  kind === 'cutter-rest' ? 1 : kind === 'thicknesses' ? 128 : 1024;

/** The pieces of a task, in order, each a task of its own with its first item's number. */
export function* taskPieces(
  task: ReachTask,
): Generator<{ readonly from: number; readonly piece: ReachTask }> {
  const stride = itemStride(task),
    size = pieceItems(task);
  const count = task.items.length / stride;
  for (let from = 0; from < count; from += size) {
    const to = Math.min(count, from + size);
    yield { from, piece: { ...task, items: task.items.slice(stride * from, stride * to) } };
  }
}

/** Answers one piece here and now. */
export function answerTask({ tree, limits, mesh, topology }: EngineData, task: ReachTask): Float64Array {
  switch (task.kind) {
    case 'reach':
      return reachRadii(tree, task.items, task.radii, limits);
    case 'gaps':
      return gapsAt(tree, task.items, task.radius, task.enoughMm, limits);
    case 'crossings':
      return reachCrossings(tree, task.items, task.radii, limits, task.accuracyMm);
    case 'thicknesses':
      return thicknessesAt(tree, task.items, task.radius, task.topMm, task.stockMm, limits);
    case 'cutter-reached':
      return cutterReached(tree, task.items, task.profile, limits);
    case 'cutter-crossings':
      return cutterCrossings(tree, task.items, task.profile, limits, task.accuracyMm);
    case 'cutter-rest': {
      const { stockMm, profiles } = task;
      return Float64Array.from(
        [...task.items].flatMap((i) => {
          const rest = restVolume(mesh, topology, profiles[i], { stockMm, slackMm: limits.slackMm });
          return [rest.volumeMm3, rest.greatestMm];
        }),
      );
    }
  }
}

/** Answers in the calling thread, letting others have a turn between pieces. */
export const inlineEngine: EngineMaker = (data) => {
  const run: ReachEngine['run'] = async (task, signal, onDone) => {
    const count = task.items.length / itemStride(task);
    const out = new Float64Array(answerStride(task) * count);
    for (const { from, piece } of taskPieces(task)) {
      signal?.throwIfAborted();
      out.set(answerTask(data, piece), answerStride(task) * from);
      onDone?.(Math.min(1, (from + piece.items.length / itemStride(task)) / count));
      await new Promise<void>((resolve) => {
        setTimeout(resolve, 0);
      });
    }
    return out;
  };
  return {
    run,
    close: () => undefined,
  };
};
