import type { SurfaceClass } from '../../core/classes.js';
import { STEPS_PER_DEG } from '../../write/angle-areas.js';
import type { SceneFacts } from '../../write/scene-facts.js';

const LEVEL_DEG = 0.5;

/** Areas of the machinable classes for any split, mm², from the table of wall angles; exact at its steps. */
export function splitAreas(
  { areas: { below, upTo } }: SceneFacts,
  splitDeg: number,
  overlapDeg: number,
): Readonly<Record<Extract<SurfaceClass, 'level' | 'shallow' | 'overlap' | 'steep'>, number>> {
  const read = (table: readonly number[], deg: number): number => {
    const place = Math.min(table.length - 1, Math.max(0, deg * STEPS_PER_DEG));
    const low = Math.floor(place + 1e-6),
      high = Math.min(table.length - 1, low + 1);
    return table[low] + Math.max(0, place - low) * (table[high] - table[low]);
  };
  const level = read(upTo, LEVEL_DEG);
  const toSplit = Math.max(level, read(below, splitDeg));
  const toEnd = Math.max(toSplit, read(upTo, Math.min(90, splitDeg + overlapDeg)));
  return { level, shallow: toSplit - level, overlap: toEnd - toSplit, steep: upTo[upTo.length - 1] - toEnd };
}

/**
 * What both passes take longer at a split than at the one surveyed, min, between the points of the surveyed curve; null
 * where there is none.
 */
export function splitMore({ curve, split }: SceneFacts, splitDeg: number, overlapDeg: number): number | null {
  const [asked, surveyed] = [splitDeg, split.angleDeg].map((deg) => minutesAt(curve, deg));
  return overlapDeg !== split.overlapDeg || asked === null || surveyed === null ? null : asked - surveyed;
}

function minutesAt(curve: SceneFacts['curve'], splitDeg: number): number | null {
  const after = curve.findIndex(({ angleDeg }) => angleDeg >= splitDeg);
  if (after < 0) return null;
  if (after === 0) return curve[0].angleDeg === splitDeg ? curve[0].minutes : null;
  const a = curve[after - 1],
    b = curve[after];
  return a.minutes + ((splitDeg - a.angleDeg) / (b.angleDeg - a.angleDeg)) * (b.minutes - a.minutes);
}
