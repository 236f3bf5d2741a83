import type { SurfaceAnswers } from '../plan/plan.js';
import { shown } from './report-numbers.js';

/** How far both passes overlap, in words: the overlap is an angle, or a distance along the surface. */
export interface OverlapWords {
  /** `3°`, or `2 mm along the surface` */
  readonly overlap: string;
  /** where the raster ends, and steep surface begins: `48°`, or `2 mm beyond 45°` */
  readonly end: string;
  /** the band itself: `45° to 48°`, or `2 mm from 45° on` */
  readonly band: string;
}

/** @param degree how angles are marked: `°` or ` deg` */
export function overlapWords(
  { setup, split }: Pick<SurfaceAnswers, 'setup' | 'split'>,
  degree: string,
): OverlapWords {
  const from = `${shown(split.angleDeg, 1)}${degree}`;
  if (setup.overlapMm === null) {
    const end = `${shown(Math.min(90, split.angleDeg + split.overlapDeg), 1)}${degree}`;
    return {
      overlap: `${shown(split.overlapDeg, 1)}${degree}`,
      end,
      band: `${shown(split.angleDeg, 1)}${degree} to ${end}`,
    };
  }
  const distance = `${shown(setup.overlapMm, 3)} mm`;
  return {
    overlap: `${distance} along the surface`,
    end: `${distance} beyond ${from}`,
    band: `${distance} from ${from} on`,
  };
}
