import type { CutterProfile } from '../cutter/cutter-profile.js';
import type { PartTree } from './part-tree.js';
import type { GapLimits } from './ball-reach.js';
import { FACET_STRIDE, openFacets } from './open-facets.js';
import { gapBandsAt } from './gap-bands.js';
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
}

/** A batch of questions about reach; for the first three see the kernels of `reach-kernels.ts`. */
export type ReachTask = Questions & {
  /** nobody waits for it: others are answered first */
  readonly mayWait?: boolean;
};

type Questions =
  | { readonly kind: 'reach'; readonly items: Float64Array; readonly radii: Float64Array }
  | {
      /** of the greatest only those that exceed what came before in a piece need be told: of others 0 */
      readonly kind: 'gaps' | 'greatest-gaps';
      readonly items: Float64Array;
      /** the allowance included */
      readonly profile: CutterProfile;
      /** larger gaps need not be told, mm */
      readonly enoughMm: number;
    }
  | {
      /** of a ball, at points that it does not reach; answers: see `gapBandsAt` */
      readonly kind: 'gap-bands';
      readonly items: Float64Array;
      /** the allowance included, mm */
      readonly radiusMm: number;
    }
  | {
      readonly kind: 'crossings';
      readonly items: Float64Array;
      readonly radii: Float64Array;
      readonly accuracyMm: number;
    }
  /** answers: see `openFacets` */
  | {
      readonly kind: 'open-facets';
      readonly items: Float64Array;
      /** the allowance included, mm */
      readonly radiusMm: number;
      readonly slackMm: number;
    }
  /** answers: see `thicknessesAt` */
  | {
      readonly kind: 'thicknesses';
      readonly items: Float64Array;
      /** the allowance included */
      readonly profile: CutterProfile;
      readonly topMm: number;
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
    };

/** Answers batches. Item i of the answer belongs to item i of the task. */
export interface ReachAnswers {
  /** @param onDone told the fraction answered so far */
  run(task: ReachTask, signal?: AbortSignal, onDone?: (fraction: number) => void): Promise<Float64Array>;
}

/** Asks an engine for what nobody waits for yet. */
export const withoutHaste = (engine: ReachAnswers): ReachAnswers => ({
  run: (task, signal, onDone) => engine.run({ ...task, mayWait: true }, signal, onDone),
});

/** Answers batches in whatever threads. */
export interface ReachEngine extends ReachAnswers {
  /** Lets the threads go. A closed engine answers nothing more. */
  close(): void;
}

/** Makes an engine. Answers do not depend on which: batches are cut into the same pieces everywhere. */
export type EngineMaker = (data: EngineData) => ReachEngine;

/** Numbers per item of a task. */
export function itemStride({ kind }: ReachTask): number {
  if (kind === 'thicknesses') return COLUMN_STRIDE;
  if (kind === 'open-facets') return FACET_STRIDE;
  return kind === 'crossings' || kind === 'cutter-crossings' ? CROSSING_STRIDE : POINT_STRIDE;
}

/** Items per piece of work: few enough to balance, enough to pay for the message. */
const pieceItems = ({ kind }: ReachTask): number => (kind === 'thicknesses' ? 128 : 1024);

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

/** A gap this much greater than another is told. */
const GREATER = 1.01;

/** Answers one piece here and now. */
export function answerTask({ tree, limits }: EngineData, task: ReachTask): Float64Array {
  switch (task.kind) {
    case 'reach':
      return reachRadii(tree, task.items, task.radii, limits);
    case 'gaps':
      return gapsAt(tree, task.items, task.profile, task.enoughMm, limits);
    case 'greatest-gaps':
      return gapsAt(tree, task.items, task.profile, task.enoughMm, limits, GREATER);
    case 'gap-bands':
      return gapBandsAt(tree, task.items, task.radiusMm, limits);
    case 'crossings':
      return reachCrossings(tree, task.items, task.radii, limits, task.accuracyMm);
    case 'open-facets':
      return openFacets(tree, task.items, task.radiusMm, task.slackMm);
    case 'thicknesses':
      return thicknessesAt(tree, task.items, task.profile, task.topMm, limits);
    case 'cutter-reached':
      return cutterReached(tree, task.items, task.profile, limits);
    case 'cutter-crossings':
      return cutterCrossings(tree, task.items, task.profile, limits, task.accuracyMm);
  }
}

/** Answers in the calling thread, letting others have a turn between pieces. */
export const inlineEngine: EngineMaker = (data) => {
  const run: ReachEngine['run'] = async (task, signal, onDone) => {
    const count = task.items.length / itemStride(task);
    const out = new Float64Array(count);
    for (const { from, piece } of taskPieces(task)) {
      signal?.throwIfAborted();
      out.set(answerTask(data, piece), from);
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
