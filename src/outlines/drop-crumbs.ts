import { digits, figure } from '../core/figures.js';
import { finding, type Finding } from '../core/findings.js';
import { pointInRings, ringArea, ringLength, type Rings } from './ring-measures.js';

/** What a region must have to be worth a move of the cutter. */
export interface CrumbLimits {
  /** mean width: twice the area over the length of the border, mm */
  readonly leastWidthMm: number;
  /** mm² */
  readonly leastAreaMm2: number;
}

/** Side of the least square, in least widths. */
const SQUARE_WIDTHS = 20;

/** Limits of a cutter. @param share least width as a share of DC; the least area is a square 20 times as wide */
export const crumbLimits = (share: number, { DC }: { readonly DC: number }): CrumbLimits => ({
  leastWidthMm: share * DC,
  leastAreaMm2: (SQUARE_WIDTHS * share * DC) ** 2,
});

interface Piece {
  readonly outer: Float64Array;
  readonly holes: Float64Array[];
}

/**
 * Leaves out the pieces of a region that are narrower or smaller than a cutter's move is worth, and fills the holes
 * that are.
 *
 * @param rings even-odd; outer rings counter-clockwise, holes clockwise
 * @param name of the region, for the finding
 * @returns the same form; what was left out and filled, mm²; `outlines.crumbs` with how many and that
 */
export function dropCrumbs(
  rings: Rings,
  name: string,
  limits: CrumbLimits,
): {
  readonly rings: Rings;
  readonly goneMm2: number;
  readonly filledMm2: number;
  readonly findings: readonly Finding[];
} {
  const pieces = piecesOf(rings);
  const isCrumb = (area: number, length: number): boolean =>
    area < limits.leastAreaMm2 || 2 * area < limits.leastWidthMm * length;
  const kept = pieces.filter(({ outer, holes }) => {
    const all = [outer, ...holes];
    return !isCrumb(
      areaOf(all),
      all.reduce((sum, ring) => sum + ringLength(ring), 0),
    );
  });
  const isFilled = (hole: Float64Array): boolean =>
    isCrumb(-ringArea(hole), ringLength(hole)) && !kept.some(({ outer }) => isInside(outer, hole));
  const left = kept.flatMap(({ outer, holes }) => [outer, ...holes.filter((hole) => !isFilled(hole))]);
  const dropped = rings.filter((ring) => !left.includes(ring));
  if (dropped.length === 0) return { rings, goneMm2: 0, filledMm2: 0, findings: [] };
  const { leastWidthMm, leastAreaMm2 } = limits;
  const goneMm2 = areaOf(
    pieces.filter((piece) => !kept.includes(piece)).flatMap(({ outer, holes }) => [outer, ...holes]),
  );
  const filledMm2 = 0 - areaOf(kept.flatMap(({ holes }) => holes.filter(isFilled)));
  return {
    rings: left,
    goneMm2,
    filledMm2,
    findings: [
      finding(
        'outlines.crumbs',
        'info',
        `Outlines of ${name}, pieces narrower than ${digits(leastWidthMm)} mm or smaller than ${digits(leastAreaMm2)} mm²: ` +
          crumbWords(goneMm2, filledMm2),
        dropped.length,
      ),
    ],
  };
}

/** What was left out and filled in plan, in words. */
export const crumbWords = (goneMm2: number, filledMm2: number): string =>
  [
    ...(goneMm2 > 0 || filledMm2 === 0 ? [`${figure(goneMm2, 2)} mm² in plan are left out`] : []),
    ...(filledMm2 > 0 ? [`holes of ${figure(filledMm2, 2)} mm² filled`] : []),
  ].join(', ');

const areaOf = (rings: Rings): number => rings.reduce((sum, ring) => sum + ringArea(ring), 0);
const isInside = (ring: Float64Array, of: Float64Array): boolean => pointInRings(ring[0], ring[1], [of]);

/** Each outer ring with the holes of which it is the next around. */
function piecesOf(rings: Rings): readonly Piece[] {
  const pieces = rings
    .filter((ring) => ringArea(ring) > 0)
    .sort((a, b) => ringArea(a) - ringArea(b))
    .map((outer): Piece => ({ outer, holes: [] }));
  for (const hole of rings.filter((ring) => ringArea(ring) < 0))
    pieces.find(({ outer }) => isInside(hole, outer))?.holes.push(hole);
  return pieces;
}
