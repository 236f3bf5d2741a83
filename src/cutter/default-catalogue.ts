import type { Cutter } from './catalogue.js';

/**
 * DC, APMX, LU, DN, DMM in mm. Diameters from 2 up are shank diameters of DIN 6535; 1 and 1.5 are what the
 * trade stocks below (common practice, no source). The lengths are placeholders of ordinary proportion, no
 * maker's.
 */
const BALL_NOSES: readonly (readonly [number, number, number, number, number])[] = [
  [1, 1, 6, 0.95, 4],
  [1.5, 1.5, 9, 1.44, 4],
  [2, 2, 12, 1.92, 4],
  [3, 3, 18, 2.9, 6],
  [4, 4, 24, 3.85, 6],
  [5, 5, 30, 4.85, 6],
  [6, 6, 36, 5.8, 6],
  [8, 8, 44, 7.7, 8],
  [10, 10, 52, 9.7, 10],
  [12, 12, 60, 11.6, 12],
  [16, 16, 70, 15.5, 16],
  [20, 20, 80, 19.5, 20],
];

/** Flat end mills, in the same order. */
const FLATS: readonly (readonly [number, number, number, number, number])[] = [
  [4, 11, 24, 3.85, 6],
  [6, 13, 36, 5.8, 6],
  [10, 22, 52, 9.7, 10],
  [16, 32, 70, 15.5, 16],
];

/** A plain slender holder: a nose that widens to a body. Placeholder. */
export const holderFor = (shank: number): Cutter['holder'] => [
  { diameterMm: shank + 12, lengthMm: 35, topDiameterMm: shank + 16 },
  { diameterMm: 50, lengthMm: 40, topDiameterMm: 50 },
];

/**
 * Ball-nose cutters DC 1 to 20, two flutes, small to large, then flat ones DC 4 to 16, four flutes, that finish floors and
 * walls; used when no catalogue is given. All placeholders. A bull-nose would finish no floor faster than a flat one.
 */
export const DEFAULT_CATALOGUE: readonly Cutter[] = [
  ...BALL_NOSES.map((sizes) => placeholder('ball', sizes)),
  ...FLATS.map((sizes) => placeholder('flat', sizes)),
];

function placeholder(shape: 'ball' | 'flat', [DC, APMX, LU, DN, DMM]: (typeof BALL_NOSES)[number]): Cutter {
  const isBall = shape === 'ball';
  return {
    id: `${shape}-${DC}`,
    DC,
    RE: isBall ? DC / 2 : 0,
    APMX,
    LU,
    DN,
    DMM,
    NOF: isBall ? 2 : 4,
    taperHalfAngleDeg: 0,
    holder: holderFor(DMM),
    wearCostPerMinute: null,
    stages: isBall ? [] : ['finish'],
    placeholder: true,
  };
}
