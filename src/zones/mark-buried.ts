import { boundsOf, longestSide } from '../core/bounds.js';
import { CLASS_INDEX } from '../core/classes.js';
import { digits } from '../core/figures.js';
import { finding, type Finding } from '../core/findings.js';
import { compensatedSum } from '../core/sum.js';
import { doubleArea, facetCentre } from '../part/facet-geometry.js';
import { connectedRegions } from '../surface/connected-regions.js';
import type { SurfaceBuilder } from '../surface/surface-builder.js';
import { cutWhere, pointOn, type FacetTest } from './cut-where.js';
import { AWAY } from './mark-away.js';
import { facetBounds, planCells } from './plan-cells.js';

/** What is asked of the shells of a part that bound solids, numbered; in mm. */
export interface SolidProbes {
  /** (F of the mesh) shell of each facet */
  readonly shellOf: Int32Array;
  /** (S) 1 where a shell bounds a solid, or a hollow */
  readonly isSolid: Uint8Array;
  /** how often those of them below a number enclose a point, less how often a hollow does */
  readonly windingAt: (point: readonly number[], below: number) => number;
  /** of (9) corners: false where no facet of those below a number, other than its own shell, comes as near to it */
  readonly mayMeet: (triangle: Float64Array, own: number, below: number, nearMm: number) => boolean;
}

/** How far off a facet its two sides are asked about, as a share of the part's length: well above what float32 rounds. */
export const OFF_SHARE = 1e-6;
/** Another solid may end inside a facet: pieces this long find it, mm, but no fewer and no more than so many across the part. */
const PIECE_MM = 2,
  LEAST_PIECES = 15,
  MOST_PIECES = 150;

/**
 * Whether a point of a shell is no surface of the part: another solid lies on its outer side, or on the point, facing the
 * same way; of two such solids the one of lower number keeps its surface.
 *
 * @param by (3) from the point to its outer side, mm
 */
export function isBuried(
  solids: SolidProbes,
  shell: number,
  at: readonly number[],
  by: readonly number[],
): boolean {
  const { windingAt } = solids;
  const out = at.map((x, k) => x + by[k]);
  if (windingAt(out, Infinity) > 0) return true;
  const before = rivalsOf(solids, shell);
  if (before === 0) return false;
  const back = at.map((x, k) => x - by[k]);
  return windingAt(back, before) > windingAt(out, before);
}

/** Solids below this number keep surface that lies on a shell's. */
const rivalsOf = ({ isSolid }: SolidProbes, shell: number): number =>
  isSolid[shell] === 1 ? shell : Infinity;

/**
 * Labels as hidden, and away, what is no surface of the part: facets inside another solid, and those on which two
 * solids lie, of which one is left where both face the same way. Facets are cut along the border of it.
 *
 * As long as no other solid's surface cuts through a facet, all of it has one answer.
 *
 * @param build labelled by `classifyByAngle`
 */
export function markBuried(build: SurfaceBuilder, solids: SolidProbes): Finding[] {
  const { shellOf, mayMeet } = solids;
  const all = boundsOf(build.arrays().positions.subarray(0, 3 * build.vertexCount())),
    longMm = longestSide(all),
    offMm = OFF_SHARE * longMm;
  const normal = new Float64Array(3);
  const off = (f: number): number[] => {
    const length = doubleArea(build.arrays(), f, normal);
    return [...normal].map((x) => (offMm * x) / (length || 1));
  };
  const ownOf = (f: number): number => shellOf[build.arrays().parent[f]];
  const isIn: FacetTest = (f, v, w) => isBuried(solids, ownOf(f), pointOn(build, f, v, w), off(f));
  // What is clear of them stays so when it is halved.
  const clear: boolean[] = [];
  const mayChange = (f: number): boolean => {
    if (clear[f]) return false;
    const by = off(f),
      corners = [pointOn(build, f, 0, 0), pointOn(build, f, 1, 0), pointOn(build, f, 0, 1)].flat();
    const shifted = (turn: number) => Float64Array.from(corners, (x, i) => x + turn * by[i % 3]);
    const own = ownOf(f),
      before = rivalsOf(solids, own);
    const nearMm = 0.5 * offMm;
    clear[f] =
      !mayMeet(shifted(1), own, Infinity, nearMm) &&
      !(before > 0 && mayMeet(shifted(-1), own, before, nearMm));
    return !clear[f];
  };
  const pieceMm = Math.min(longMm / LEAST_PIECES, Math.max(PIECE_MM, longMm / MOST_PIECES));
  const mayLieIn = otherTops(build, solids, planCells(all, pieceMm), offMm);
  cutWhere(build, (f) => mayLieIn(f) && mayChange(f), isIn, pieceMm);
  const buried = facetsWhere(build, mayLieIn, mayChange, (f) => isIn(f, 1 / 3, 1 / 3));
  for (const f of buried) build.arrays().labels[f] = CLASS_INDEX.hidden | AWAY;
  return buriedFinding(build, buried);
}

/**
 * Facets, of those that may, on which something holds; where it may not change, on all that hangs together as on the
 * largest of them: slivers hardly tell where their outer side is.
 */
function facetsWhere(
  build: SurfaceBuilder,
  may: (f: number) => boolean,
  mayChange: (f: number) => boolean,
  holds: (f: number) => boolean,
): number[] {
  const all = Array.from({ length: build.faceCount() }, (_, f) => f).filter(may);
  const steady = new Int32Array(build.faceCount()).fill(-1);
  for (const f of all) if (!mayChange(f)) steady[f] = 0;
  const twin = build.arrays().twin.subarray(0, 3 * steady.length);
  const { regionOfFace, count } = connectedRegions({ twin }, steady);
  const largest = new Int32Array(count),
    most = new Float64Array(count).fill(-1),
    normal = new Float64Array(3);
  for (const f of all) {
    const region = regionOfFace[f],
      area = region < 0 ? 0 : doubleArea(build.arrays(), f, normal);
    if (region < 0 || area <= most[region]) continue;
    most[region] = area;
    largest[region] = f;
  }
  const isIn = Array.from(largest, holds);
  return all.filter((f) => (regionOfFace[f] < 0 ? holds(f) : isIn[regionOfFace[f]]));
}

/** Tells whether a solid other than a facet's own has surface over it, in the same cell of the plan. */
function otherTops(
  build: SurfaceBuilder,
  { shellOf, isSolid }: SolidProbes,
  cells: ReturnType<typeof planCells>,
  offMm: number,
): (f: number) => boolean {
  // Of each cell the shell that reaches highest, and how high others do.
  const tops = new Float64Array(cells.count).fill(-Infinity),
    others = tops.slice(),
    highest = new Int32Array(cells.count).fill(-1);
  const { parent } = build.arrays();
  for (let f = 0; f < build.faceCount(); f++) {
    const shell = shellOf[parent[f]];
    if (isSolid[shell] === 0) continue;
    const box = facetBounds(build, f),
      top = box.max[2];
    cells.some(box, 0, (at) => {
      if (shell === highest[at]) tops[at] = Math.max(tops[at], top);
      else if (top > tops[at]) {
        others[at] = tops[at];
        tops[at] = top;
        highest[at] = shell;
      } else others[at] = Math.max(others[at], top);
      return false;
    });
  }
  return (f) => {
    const box = facetBounds(build, f),
      shell = shellOf[build.arrays().parent[f]];
    return cells.some(
      box,
      offMm,
      (at) => (shell === highest[at] ? others[at] : tops[at]) >= box.min[2] - offMm,
    );
  };
}

function buriedFinding(build: SurfaceBuilder, buried: readonly number[]): Finding[] {
  if (buried.length === 0) return [];
  const areaMm2 = compensatedSum(buried.map((f) => 0.5 * doubleArea(build.arrays(), f, new Float64Array(3))));
  return [
    finding(
      'zones.buried',
      'warning',
      `${digits(areaMm2)} mm² lie inside another solid, or on one, and are no surface of the part; they count as ` +
        'hidden and are left out of areas, passes and times. Unite the solids where the part is modelled.',
      buried.length,
      facetCentre(build.arrays(), buried[0]),
    ),
  ];
}
