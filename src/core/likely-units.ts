import { MM_PER_UNIT, UNITS, type Unit } from './units.js';

/** Longest sides that make a unit likely, mm. Common practice, no source. */
export const LIKELY_MM = { least: 10, most: 2500 } as const;

/** Units in which a part this long, in the numbers of its file, has the size of one that is finish-milled. */
export const likelyUnits = (extentInFile: number): Unit[] =>
  UNITS.filter((unit) => {
    const extentMm = extentInFile * MM_PER_UNIT[unit];
    return extentMm >= LIKELY_MM.least && extentMm <= LIKELY_MM.most;
  });
