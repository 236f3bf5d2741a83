import type { Cutter } from './catalogue.js';
import { holderFor } from './default-catalogue.js';

/** DC, RE, APMX, LU, DN, DMM in mm: shank diameters of DIN 6535; the other lengths are placeholders, no maker's. */
const BULL_NOSES: readonly (readonly [number, number, number, number, number, number])[] = [
  [20, 2, 20, 90, 19, 20],
  [12, 1, 14, 60, 11.4, 12],
  [8, 1, 9, 44, 7.6, 8],
  [5, 0.5, 6, 30, 4.8, 6],
];

/** Bull-nose cutters that only rough, large to small; used where a catalogue has neither flat nor bull-nose. All placeholders. */
export const DEFAULT_ROUGHERS: readonly Cutter[] = BULL_NOSES.map(([DC, RE, APMX, LU, DN, DMM]) => ({
  id: `bull-${DC}`,
  DC,
  RE,
  APMX,
  LU,
  DN,
  DMM,
  NOF: 4,
  taperHalfAngleDeg: 0,
  holder: holderFor(DMM),
  wearCostPerMinute: null,
  stages: ['rough'],
  placeholder: true,
}));
