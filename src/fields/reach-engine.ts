import type { PartTree } from '../spatial/part-tree.js';
import type { GapLimits } from './ball-gap.js';
import {
  CROSSING_STRIDE, gapsAt, POINT_STRIDE, reachCrossings, reachedCounts, reachRadii,
} from './reach-kernels.js';

/** A batch of exact reach questions; what the kernels of `reach-kernels.ts` take, less the tree and the limits. */
export type ReachTask =
  | { readonly kind: 'counts'; readonly items: Float64Array; readonly radii: Float64Array }
  | { readonly kind: 'radii'; readonly items: Float64Array; readonly bounds: Float64Array }
  | { readonly kind: 'gaps'; readonly items: Float64Array; readonly radius: number }
  | {
    readonly kind: 'crossings'; readonly items: Float64Array; readonly radii: Float64Array;
    readonly accuracyMm: number;
  };

/** Answers batches, in whatever threads; item i of the answer belongs to item i of the task. */
export interface ReachEngine {
  /** @param onDone told the fraction answered so far */
  run(task: ReachTask, signal?: AbortSignal, onDone?: (fraction: number) => void): Promise<Float64Array>;
}

/** Items per piece of work: small enough to balance, large enough to pay for the message. */
export const PIECE_ITEMS = 4096;

/** Numbers per item of a task. */
export function itemStride(task: ReachTask): number {
  return task.kind === 'crossings' ? CROSSING_STRIDE : POINT_STRIDE;
}

/** Items `from` to `to` of a task, as a task of its own. */
export function taskPiece(task: ReachTask, from: number, to: number): ReachTask {
  const stride = itemStride(task);
  const items = task.items.slice(stride * from, stride * to);
  return task.kind === 'radii' ? { ...task, items, bounds: task.bounds.slice(2 * from, 2 * to) } : { ...task, items };
}

/** Answers one task here and now. */
export function answerTask(tree: PartTree, limits: GapLimits, task: ReachTask): Float64Array {
  switch (task.kind) {
    case 'counts': return Float64Array.from(reachedCounts(tree, task.items, task.radii, limits));
    case 'radii': return reachRadii(tree, task.items, task.bounds, limits);
    case 'gaps': return gapsAt(tree, task.items, task.radius, limits);
    case 'crossings': return reachCrossings(tree, task.items, task.radii, limits, task.accuracyMm);
  }
}

/** Answers in the calling thread, letting others have a turn between pieces. */
export function inlineEngine(tree: PartTree, limits: GapLimits): ReachEngine {
  return {
    run: async (task, signal, onDone) => {
      const count = task.items.length / itemStride(task);
      const out = new Float64Array(count);
      for (let from = 0; from < count; from += PIECE_ITEMS) {
        signal?.throwIfAborted();
        const to = Math.min(count, from + PIECE_ITEMS);
        out.set(answerTask(tree, limits, taskPiece(task, from, to)), from);
        onDone?.(to / count);
        await new Promise<void>((resolve) => { setTimeout(resolve, 0); });
      }
      return out;
    },
  };
}
