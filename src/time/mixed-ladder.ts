import { runningSum } from '../core/sum.js';
import type { LadderOptions, LeftOut, Rung, Step, Ladder } from './ladder.js';

/** A cutter of any shape, in the order in which it would run (large to small). */
export type MixedRung = Omit<Rung, 'unreachedAreaMm2'>;

export interface MixedOptions extends Omit<LadderOptions, 'totalAreaMm2'> {
  /** (F) mm² */
  readonly areas: Float64Array;
  /** (F) bit c set: cutter c reaches the facet */
  readonly reached: Uint32Array;
}

/** More cutters would take too long: the work doubles with each. */
export const MOST_MIXED_CUTTERS = 16;

/**
 * The fastest sequence of cutters of any shapes that finishes all that any of them can. Nothing is assumed
 * about who reaches more: every subset is tried, run in the given order, each cutter finishing what it
 * reaches and none before it did. Exact; O(2^m + F), after the facets are gathered by who reaches them.
 *
 * @param rungs up to 16, in the order in which they run
 * @throws {RangeError} for too many cutters, a rate that is not positive, arrays that do not agree
 */
export function mixedLadder(rungs: readonly MixedRung[], options: MixedOptions): Ladder {
  checkMixed(rungs, options);
  const { toolChangeMinutes, areaToleranceMm2 } = options;
  const reachedArea = areaReachedBy(rungs.length, options);
  const total = reachedArea.total;
  const minutes = minutesOfSubsets(rungs, reachedArea.by, toolChangeMinutes);
  const usable = rungs.reduce((set, rung, c) => (rung.barred === null ? set | (1 << c) : set), 0);
  const full = reachedArea.by[usable];
  const best = (allowed: (subset: number) => boolean): number => {
    let found = -1;
    for (let subset = 0; subset < minutes.length; subset++) {
      const isComplete = full - reachedArea.by[subset] <= areaToleranceMm2 && minutes[subset] < Infinity;
      if (isComplete && allowed(subset) && (found < 0 || isBetter(minutes, subset, found))) found = subset;
    }
    return found;
  };
  const chosen = best(() => true);
  const extra = (subset: number): number | null => (subset < 0 ? null : minutes[subset] - minutes[chosen]);
  const steps: Step[] = [],
    whyLeftOut: LeftOut[] = [];
  rungs.forEach((rung, c) => {
    const bit = 1 << c;
    if ((chosen & bit) === 0) {
      const before = usable & (bit - 1);
      const more = reachedArea.by[before | bit] - reachedArea.by[before] > areaToleranceMm2;
      whyLeftOut.push(leftOut(rung, more, extra(best((subset) => (subset & bit) !== 0))));
      return;
    }
    const before = chosen & (bit - 1);
    const finishedAreaMm2 = reachedArea.by[before | bit] - reachedArea.by[before];
    steps.push({
      id: rung.id,
      finishedAreaMm2,
      unreachedAreaMm2: total - reachedArea.by[before | bit],
      minutes: finishedAreaMm2 / rung.rateMm2PerMin,
      savesMinutes: extra(best((subset) => (subset & bit) === 0)),
    });
  });
  return { steps, minutes: minutes[chosen], unreachedAreaMm2: total - full, whyLeftOut };
}

/** Minutes of each subset, run in order; `Infinity` with a cutter that must not be used. */
function minutesOfSubsets(
  rungs: readonly MixedRung[],
  by: Float64Array,
  changeMinutes: number,
): Float64Array {
  const minutes = new Float64Array(by.length);
  for (let subset = 1; subset < minutes.length; subset++) {
    const last = 31 - Math.clz32(subset);
    const before = subset & ~(1 << last);
    const { barred, rateMm2PerMin } = rungs[last];
    const added = changeMinutes + (by[subset] - by[before]) / rateMm2PerMin;
    minutes[subset] = barred === null ? minutes[before] + added : Infinity;
  }
  return minutes;
}

/** Fewer cutters win between equals; then the larger ones. */
function isBetter(minutes: Float64Array, a: number, b: number): boolean {
  const margin = 1e-9 * Math.max(1, minutes[b]);
  if (Math.abs(minutes[a] - minutes[b]) > margin) return minutes[a] < minutes[b];
  const size = (set: number): number => set.toString(2).replaceAll('0', '').length;
  return size(a) !== size(b) ? size(a) < size(b) : a < b;
}

function leftOut(rung: MixedRung, reachesMore: boolean, extraMinutes: number | null): LeftOut {
  if (rung.barred !== null) return { id: rung.id, reason: 'barred', detail: rung.barred, extraMinutes: null };
  if (!reachesMore) {
    const detail = 'it reaches nothing that the cutters before it do not';
    return { id: rung.id, reason: 'reaches-nothing-more', detail, extraMinutes };
  }
  return { id: rung.id, reason: 'slower', detail: 'the job takes longer with it', extraMinutes };
}

/** Area that the cutters of each subset reach between them, mm², and the area of everything. */
function areaReachedBy(
  cutters: number,
  { areas, reached }: MixedOptions,
): { by: Float64Array; total: number } {
  const sets = 1 << cutters;
  const exactly = Array.from({ length: sets }, runningSum);
  for (let f = 0; f < areas.length; f++) exactly[reached[f] & (sets - 1)].add(areas[f]);
  // within[s]: area reached by none outside s. What s reaches is all but what lies within its complement.
  const within = Float64Array.from(exactly, (sum) => sum.value());
  for (let c = 0; c < cutters; c++) {
    for (let set = 0; set < sets; set++) if (set & (1 << c)) within[set] += within[set ^ (1 << c)];
  }
  const total = within[sets - 1];
  return { by: within.map((_, set) => total - within[sets - 1 - set]), total };
}

function checkMixed(rungs: readonly MixedRung[], { areas, reached }: MixedOptions): void {
  if (rungs.length > MOST_MIXED_CUTTERS) {
    throw new RangeError(`mixedLadder: ${rungs.length} cutters, expected ${MOST_MIXED_CUTTERS} at most`);
  }
  if (areas.length !== reached.length) {
    throw new RangeError(`mixedLadder: ${areas.length} areas, ${reached.length} bit sets`);
  }
  const slow = rungs.find((rung) => !(rung.rateMm2PerMin > 0));
  if (slow) throw new RangeError(`mixedLadder: cutter ${slow.id} has rate ${slow.rateMm2PerMin}`);
}
