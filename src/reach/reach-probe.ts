import type { CutterProfile } from '../cutter/cutter-profile.js';
import { itemStride, type ReachAnswers } from './reach-engine.js';

/** One cutter of any shape, asked about in the way in which a list of ball radii is. */
export interface ReachProbe {
  /** answers `reach` (of a cutter that is no ball 0 or Infinity), `open-facets` and `crossings` for `radii` */
  readonly engine: ReachAnswers;
  /** (1) mm; of a cutter that is no ball only how finely to look */
  readonly radii: Float64Array;
}

/** A tapered cutter's border is looked for as a ball's of this many RE would be. */
const FINE_RE = 1.5;

/**
 * @param profile the allowance left on the part included (`offsetProfile`)
 */
export function reachProbe(engine: ReachAnswers, profile: CutterProfile): ReachProbe {
  const { kind, radiusMm, cornerRadiusMm } = profile;
  const radii = Float64Array.of(kind === 'tapered-ball' ? FINE_RE * cornerRadiusMm : radiusMm);
  return { engine: kind === 'ball' ? engine : engineOfCutter(engine, profile), radii };
}

/**
 * Answers for one cutter what is asked about a list of one radius.
 *
 * @throws {RangeError} for a question that only balls have an answer to
 */
function engineOfCutter(engine: ReachAnswers, profile: CutterProfile): ReachAnswers {
  return {
    run: (task, signal, onDone) => {
      switch (task.kind) {
        case 'reach':
          return engine.run({ kind: 'cutter-reached', items: task.items, profile }, signal, onDone);
        case 'crossings': {
          const { items, accuracyMm } = task;
          return engine.run({ kind: 'cutter-crossings', items, profile, accuracyMm }, signal, onDone);
        }
        case 'open-facets':
          // What a ball passes may stop another cutter: nothing is shown.
          return Promise.resolve(new Float64Array(task.items.length / itemStride(task)));
        default:
          throw new RangeError(`engineOfCutter: asked for ${task.kind}`);
      }
    },
  };
}
