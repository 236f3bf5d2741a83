import { boundsOf, emptyBounds, include, type Bounds } from '../core/bounds.js';
import { CLASS_INDEX, MACHINABLE_CLASSES } from '../core/classes.js';
import type { Cover } from '../core/cover.js';
import { RAD_PER_DEG } from '../core/units.js';
import type { SurfaceBuilder } from '../surface/surface-builder.js';
import { VERTICAL_RAD } from './classify.js';
import type { PlanProbes } from './build-zones.js';
import { cutWhere, pointOn, type FacetTest } from './cut-where.js';
import { facetBounds, planCells } from './plan-cells.js';

/** Ground further above than this, mm, hides what is below; less is the facet itself or rounding. */
const CLEAR_MM = 0.005;
/** Facets under an overhang are looked at in pieces: a shadow may fall inside one. Least length, mm. */
const PIECE_MM = 2;
/** On large parts the pieces grow with the overhangs' extent in plan, which is cut into so many. */
const PIECES = 150;

/** Where a shadow that noise may move is looked for as well. */
const AROUND = [
  [0, 0],
  [1, 0],
  [0, 1],
  [-1, 0],
  [0, -1],
];

/**
 * Labels as hidden those facets that face the tool but have part of the solid standing above them, and cuts
 * facets along the shadow's edge.
 *
 * A part without downward facets has nothing hidden and costs nothing. Facets wholly in the shadow of one facet, or
 * clear of all, are not cut. Walls are looked at a little away from themselves, by as much as a wall at the limit of
 * `vertical` leans over its height: what leans no more is not an overhang.
 *
 * @param build labelled by `classifyByAngle` and `markUnderside`
 * @param strayMm a shadow that ends within this, sideways or in height, is that of noise, mm; 0: the points
 *   do not stray
 */
export function markHidden(
  build: SurfaceBuilder,
  { topOver, coverOver }: Pick<PlanProbes, 'topOver' | 'coverOver'>,
  strayMm: number,
): void {
  const roof = overhangBounds(build);
  if (!roof) return;
  const pointBeside = besideWalls(build),
    clearMm = CLEAR_MM + strayMm,
    shifts = strayMm > 0 ? AROUND.map((shift) => shift.map((step) => strayMm * step)) : [[0, 0]];
  const hiddenAt: FacetTest = (f, v, w) => {
    const [x, y, z] = pointBeside(f, v, w);
    return shifts.every(([dx, dy]) => topOver(x + dx, y + dy) > z + clearMm);
  };
  // What is looked at beside a plane facet is a plane facet again.
  const coverOf = (f: number): Cover => {
    const corners = [pointBeside(f, 0, 0), pointBeside(f, 1, 0), pointBeside(f, 0, 1)];
    const covers = shifts.map(([dx, dy]) =>
      coverOver(Float64Array.from(corners.flatMap(([x, y, z]) => [x + dx, y + dy, z])), clearMm),
    );
    if (covers.includes('none')) return 'none';
    return covers.every((cover) => cover === 'whole') ? 'whole' : 'some';
  };
  const pieceMm = Math.max(PIECE_MM, ...[0, 1].map((i) => (roof.max[i] - roof.min[i]) / PIECES));
  const overhangs = overhangGrid(build, roof, pieceMm);
  const mayHide = (f: number): boolean =>
    build.arrays().labels[f] < MACHINABLE_CLASSES && overhangs.isAbove(f, pieceMm + strayMm);
  /** Whether a shadow may end on the facet; those wholly in one are labelled on the way. */
  const mayEnd = (f: number): boolean => {
    const cover = mayHide(f) ? coverOf(f) : 'none';
    if (cover === 'whole') build.arrays().labels[f] = CLASS_INDEX.hidden;
    return cover === 'some';
  };
  cutWhere(build, mayEnd, hiddenAt, pieceMm);
  const { labels } = build.arrays();
  for (let f = 0; f < build.faceCount(); f++)
    if (mayHide(f) && hiddenAt(f, 1 / 3, 1 / 3)) labels[f] = CLASS_INDEX.hidden;
}

/** Box around all undercut facets; undefined if there is none. */
function overhangBounds(build: SurfaceBuilder): Bounds | undefined {
  const { positions, triangles, labels } = build.arrays();
  const box = emptyBounds();
  for (let h = 0; h < 3 * build.faceCount(); h++) {
    if (labels[(h / 3) | 0] === CLASS_INDEX.undercut) include(box, positions, 3 * triangles[h]);
  }
  return box.max[2] > -Infinity ? box : undefined;
}

interface OverhangGrid {
  /** Whether some of the overhangs lie higher than the lowest point of facet f, and no further than this in plan, mm. */
  isAbove(f: number, beside: number): boolean;
}

/** Where in plan overhangs are, by square cells. */
function overhangGrid(build: SurfaceBuilder, roof: Bounds, cellMm: number): OverhangGrid {
  const cells = planCells(roof, cellMm),
    tops = new Float64Array(cells.count).fill(-Infinity);
  for (let f = 0; f < build.faceCount(); f++) {
    if (build.arrays().labels[f] !== CLASS_INDEX.undercut) continue;
    const box = facetBounds(build, f);
    cells.some(box, 0, (at) => {
      tops[at] = Math.max(tops[at], box.max[2]);
      return false;
    });
  }
  return {
    isAbove: (f, beside) => {
      const box = facetBounds(build, f);
      return cells.some(box, beside, (at) => tops[at] > box.min[2]);
    },
  };
}

/**
 * The point of a facet from which what stands above is looked for: of a wall a little away from it, by an affine map of
 * the facet.
 */
function besideWalls(build: SurfaceBuilder): (f: number, v: number, w: number) => [number, number, number] {
  const top = boundsOf(build.arrays().positions.subarray(0, 3 * build.vertexCount())).max[2];
  const steep = 80 * RAD_PER_DEG,
    lean = Math.tan(VERTICAL_RAD);
  return (f, v, w) => {
    const { normals } = build.arrays(),
      point = pointOn(build, f, v, w);
    const nx = normals[9 * f],
      ny = normals[9 * f + 1],
      across = Math.sqrt(nx * nx + ny * ny);
    if (Math.abs(normals[9 * f + 2]) < Math.cos(steep)) {
      const away = (2 * CLEAR_MM + lean * (top - point[2])) / across;
      point[0] += away * nx;
      point[1] += away * ny;
    }
    return point;
  };
}
