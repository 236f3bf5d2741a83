import { reachesAllOf } from '../cutter/nested-reach.js';
import type { CutterProfile } from '../cutter/cutter-profile.js';
import type { ReachAnswers } from './reach-engine.js';
import { POINT_STRIDE } from './reach-kernels.js';

/** Points that a cutter does not reach, mm and normal, looked up exactly. */
interface KnownPoints {
  readonly profile: CutterProfile;
  readonly places: Map<number, Float64Array>;
}

/** Any even spread of the six numbers of a point; what is found by it is compared number by number. */
const SPREAD = [1, Math.SQRT2, Math.E, Math.LN10, Math.PI, Math.LOG2E];

/**
 * An engine that does not ask of a cutter what follows from cutters asked before: a point that one of them does not
 * reach, though it reaches all that this one does. So the smallest is best asked first: free places are found
 * quickly, and that there is none takes a search.
 */
export function nestedAnswers(engine: ReachAnswers): ReachAnswers {
  const before: KnownPoints[] = [];
  return {
    run: async (task, signal, onDone) => {
      if (task.kind !== 'cutter-reached') return engine.run(task, signal, onDone);
      const { items, profile } = task;
      const own = pointsOf(before, profile);
      const implied = before.filter((known) => reachesAllOf(known.profile, profile));
      const points = Array.from({ length: items.length / POINT_STRIDE }, (_, i) =>
        items.subarray(POINT_STRIDE * i, POINT_STRIDE * (i + 1)),
      );
      const keys = points.map((point) => point.reduce((sum, x, k) => sum + SPREAD[k] * x, 0));
      const found = new Float64Array(points.length);
      const open = [...points.keys()].filter(
        (i) => !implied.some((known) => holds(known, keys[i], points[i])),
      );
      const asked = new Float64Array(POINT_STRIDE * open.length);
      open.forEach((i, k) => asked.set(points[i], POINT_STRIDE * k));
      const answers = await engine.run({ ...task, items: asked }, signal, onDone);
      open.forEach((i, k) => {
        found[i] = answers[k];
      });
      points.forEach((point, i) => {
        if (found[i] === 0) own.places.set(keys[i], point);
      });
      return found;
    },
  };
}

function pointsOf(before: KnownPoints[], profile: CutterProfile): KnownPoints {
  const last = before[before.length - 1];
  if (last?.profile === profile) return last;
  const own = { profile, places: new Map<number, Float64Array>() };
  before.push(own);
  return own;
}

function holds({ places }: KnownPoints, key: number, point: Float64Array): boolean {
  const found = places.get(key);
  return found?.every((x, k) => x === point[k]) ?? false;
}
