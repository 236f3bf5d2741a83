import { boundsOf, emptyBounds, include, type Bounds } from '../core/bounds.js';
import { CLASS_INDEX, MACHINABLE_CLASSES } from '../core/classes.js';
import { RAD_PER_DEG } from '../core/units.js';
import type { SurfaceBuilder } from '../surface/surface-builder.js';
import { VERTICAL_RAD } from './classify.js';
import { cutWhere, pointOn, type FacetTest } from './cut-where.js';

/** Ground further above than this, mm, hides what is below; less is the facet itself or rounding. */
const CLEAR_MM = 0.005;
/** Facets under an overhang are looked at in pieces: a shadow may fall inside one. Least length, mm. */
const PIECE_MM = 2;
/** On large parts the pieces grow with the overhangs' extent in plan, which is cut into so many. */
const PIECES = 150;

/**
 * Labels as hidden those facets that face the tool but have part of the solid standing above them, and cuts
 * facets along the shadow's edge.
 *
 * A part without downward facets has nothing hidden and costs nothing. Walls are looked at a little away from
 * themselves, by as much as a wall at the limit of `vertical` leans over its height: what leans no more is
 * not an overhang.
 *
 * @param build labelled by `classifyByAngle` and `markUnderside`
 * @param topOver height of the part's highest surface over a point in plan, mm
 * @param strayMm a shadow that ends within this, sideways or in height, is that of noise, mm; 0: the points
 *   do not stray
 */
export function markHidden(
  build: SurfaceBuilder,
  topOver: (x: number, y: number) => number,
  strayMm: number,
): void {
  const roof = overhangBounds(build);
  if (!roof) return;
  const hiddenAt = hiddenTest(build, topOver, strayMm);
  const pieceMm = Math.max(PIECE_MM, ...[0, 1].map((i) => (roof.max[i] - roof.min[i]) / PIECES));
  const overhangs = overhangGrid(build, roof, pieceMm);
  const mayHide = (f: number): boolean =>
    build.arrays().labels[f] < MACHINABLE_CLASSES && overhangs.isAbove(f, pieceMm + strayMm);
  cutWhere(build, mayHide, hiddenAt, pieceMm);
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
function overhangGrid(build: SurfaceBuilder, { min, max }: Bounds, cellMm: number): OverhangGrid {
  const cell = (i: 0 | 1, at: number): number => Math.floor((at - min[i]) / cellMm);
  const width = cell(0, max[0]) + 1,
    depth = cell(1, max[1]) + 1;
  const tops = new Float64Array(width * depth).fill(-Infinity);
  /** Cells that a box touches; whether `visit` says so of one. */
  const some = (box: Bounds, beside: number, visit: (at: number) => boolean): boolean => {
    const last = Math.min(width - 1, cell(0, box.max[0] + beside));
    for (
      let y = Math.max(0, cell(1, box.min[1] - beside));
      y <= cell(1, box.max[1] + beside) && y < depth;
      y++
    )
      for (let x = Math.max(0, cell(0, box.min[0] - beside)); x <= last; x++)
        if (visit(y * width + x)) return true;
    return false;
  };
  const boxOf = (f: number): Bounds => {
    const { positions, triangles } = build.arrays();
    return boundsOf(positions, triangles.subarray(3 * f, 3 * f + 3));
  };
  for (let f = 0; f < build.faceCount(); f++) {
    if (build.arrays().labels[f] !== CLASS_INDEX.undercut) continue;
    const box = boxOf(f);
    some(box, 0, (at) => {
      tops[at] = Math.max(tops[at], box.max[2]);
      return false;
    });
  }
  return {
    isAbove: (f, beside) => {
      const box = boxOf(f);
      return some(box, beside, (at) => tops[at] > box.min[2]);
    },
  };
}

function hiddenTest(
  build: SurfaceBuilder,
  topOver: (x: number, y: number) => number,
  strayMm: number,
): FacetTest {
  const beside =
    strayMm > 0
      ? [
          [0, 0],
          [strayMm, 0],
          [0, strayMm],
          [-strayMm, 0],
          [0, -strayMm],
        ]
      : [[0, 0]];
  const top = boundsOf(build.arrays().positions.subarray(0, 3 * build.vertexCount())).max[2];
  const steep = 80 * RAD_PER_DEG,
    lean = Math.tan(VERTICAL_RAD);
  return (f, v, w) => {
    const { normals } = build.arrays(),
      point = pointOn(build, f, v, w),
      z = point[2];
    const nx = normals[9 * f],
      ny = normals[9 * f + 1],
      across = Math.sqrt(nx * nx + ny * ny);
    if (Math.abs(normals[9 * f + 2]) < Math.cos(steep)) {
      const away = (2 * CLEAR_MM + lean * (top - z)) / across;
      point[0] += away * nx;
      point[1] += away * ny;
    }
    return beside.every(([dx, dy]) => topOver(point[0] + dx, point[1] + dy) > z + CLEAR_MM + strayMm);
  };
}
