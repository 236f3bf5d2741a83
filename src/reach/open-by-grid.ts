import { isFree, type BlockMaxima } from './grid-queries.js';

/**
 * Steeper ground than this (nz) is not tried: a cell's upper bound there stands too high to settle anything.
 */
const LEAST_NZ = 0.97;

/**
 * Tells which points a ball-nose cutter reaches by the height grid alone, without asking the part's facets.
 *
 * The cutter starts touching p along its normal n and is lifted until it is free of every cell's upper bound.
 * Since the bound is nowhere below the part, the lifted cutter is truly free; after a lift of l its gap at p
 * is `sqrt(R² + 2 R l nz + l²) - R`, so p is reached if l is at most `-R nz + sqrt(R² nz² + 2 R t + t²)`, t
 * being the tolerance. No error of the grid can make this wrong, only undecided: a false "reached" would need
 * a cell whose bound lies below the part.
 *
 * @param maxima upper bounds of the part's height; of a window that holds the whole part
 * @param radius ball radius, allowance included, mm
 * @returns true: surely reached; false: open
 */
export function openByGrid(
  maxima: BlockMaxima,
  radius: number,
  toleranceMm: number,
): (x: number, y: number, z: number, nx: number, ny: number, nz: number) => boolean {
  const underside = (distance: number): number =>
    distance >= radius ? radius : radius - Math.sqrt(radius * radius - distance * distance);
  return (x, y, z, nx, ny, nz) => {
    if (nz < LEAST_NZ) return false;
    const most =
      Math.sqrt(radius * radius * nz * nz + 2 * radius * toleranceMm + toleranceMm * toleranceMm) -
      radius * nz;
    const tip = z + radius * nz - radius + most;
    return isFree(maxima, x + radius * nx, y + radius * ny, tip, radius, underside, x, y);
  };
}
