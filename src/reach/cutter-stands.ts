import { profileHeight, type CutterProfile } from '../cutter/cutter-profile.js';
import { cutterCore } from './cutter-core.js';

/** Free places of a cutter, found for the points before: what is near enough to one mostly is to the next. */
export interface CutterStands {
  /** @param z of the tip */
  add(x: number, y: number, z: number): void;
  /** Distance from a point to the nearest of them, mm; Infinity: there is none. */
  gap(x: number, y: number, z: number): number;
  /** Lowest height over a plan point that one of them clears, mm; Infinity: there is none. */
  clearedAt(x: number, y: number): number;
}

const STANDS = 32;

export function cutterStands(profile: CutterProfile): CutterStands {
  const tips = new Float64Array(3 * STANDS);
  const { distance } = cutterCore(profile);
  let count = 0,
    next = 0;
  return {
    add: (x, y, z) => {
      tips[next] = x;
      tips[next + 1] = y;
      tips[next + 2] = z;
      next = (next + 3) % tips.length;
      count = Math.min(STANDS, count + 1);
    },
    gap: (x, y, z) => {
      let least = Infinity;
      for (let i = 0; i < 3 * count; i += 3)
        least = Math.min(least, distance(tips[i] - x, tips[i + 1] - y, tips[i + 2] - z));
      return Math.max(0, least - profile.cornerRadiusMm);
    },
    clearedAt: (x, y) => {
      let lowest = Infinity;
      for (let i = 0; i < 3 * count; i += 3) {
        const dx = tips[i] - x,
          dy = tips[i + 1] - y;
        lowest = Math.min(lowest, tips[i + 2] + profileHeight(profile, Math.sqrt(dx * dx + dy * dy)));
      }
      return lowest;
    },
  };
}
