import type { CutterProfile } from '../cutter/cutter-profile.js';
import type { GridWindow } from './grid-window.js';
import { pointsAround, type RimBlockers } from './rim-queries.js';
import { tipOver } from './tip-over.js';
import type { WallAxes } from './wall-axes.js';
import type { WallRims } from './wall-rims.js';

/** Walls that lean less than this, mm per mm, are upright: rounding of coordinates. */
const UPRIGHT = 1e-4;
/** Play on each side, in pitches, below which tips between nodes do not show how deep the cutter gets. */
const MOST_PLAY = 2;

/**
 * Finds the tips of axes between two walls that leave the cutter hardly any play. In a slot or bore of its
 * own diameter there is but one line, or point, for the axis, and no node lies on it: the whole slot would
 * count as rest, 9 times too much for a ball R 3 in a slot 6 wide and 10 deep; in a groove with draft a node
 * beside the middle stands too high by the slope of its walls. As where reach is asked, the cutter may cut
 * into chords of round walls, and by a little slack.
 *
 * @param axes filled in where they are found
 * @param heights of the part
 */
export function addFittingAxes(
  rims: WallRims,
  axes: WallAxes,
  blocking: RimBlockers,
  window: GridWindow,
  profile: CutterProfile,
  heights: Float64Array,
  slackMm: number,
): void {
  const { points, facing, sagitta, draft, starts } = rims;
  const { offMm, tipMm, fits } = axes;
  const opposite = oppositeRims(rims, window, heights);
  const { radiusMm, cornerRadiusMm, kind } = profile;
  for (let p = 0; p < starts.length; p++) {
    const nx = facing[2 * p],
      ny = facing[2 * p + 1];
    const px = points[3 * p],
      py = points[3 * p + 1],
      pz = points[3 * p + 2];
    const depth = pz - heightAt(window, heights, px + radiusMm * nx, py + radiusMm * ny);
    if (!(depth > cornerRadiusMm && depth < Infinity)) continue;
    const { q, apartMm } = opposite(p, 2 * (radiusMm + MOST_PLAY * window.pitchMm + draft[p] * depth));
    if (q < 0 || apartMm < radiusMm) continue;
    const mean = (draft[p] + draft[q]) / 2,
      lean = mean < UPRIGHT ? 0 : mean,
      top = Math.min(pz, points[3 * q + 2]);
    if (lean > 0 && kind !== 'ball') continue;
    const half = (apartMm + sagitta[p] + sagitta[q]) / 2;
    const held = heldAt(half + slackMm, lean, radiusMm) + top - radiusMm;
    if (held === Infinity) continue;
    const reach = Math.min(radiusMm, half) - slackMm - 2 * sagitta[p],
      middle = apartMm / 2;
    const floor = tipOver(window, heights, profile, reach, px + middle * nx, py + middle * ny);
    const tip = Math.max(held, floor),
      drop = top - tip - cornerRadiusMm;
    const needed = radiusMm * Math.sqrt(1 + lean * lean) + lean * Math.max(0, drop);
    if (half - needed > MOST_PLAY * window.pitchMm) continue;
    const off = Math.min(middle, needed);
    if (!(tip < top) || blocking(p, px + off * nx, py + off * ny, tip, slackMm) >= 0) continue;
    offMm[p] = off;
    tipMm[p] = tip;
    fits[p] = 1;
  }
}

/**
 * Height above the rims at which two walls hold the centre of a ball midway between them, mm: `-Infinity` if
 * upright ones do not, `Infinity` if it does not get in between those.
 *
 * @param half way from the middle to each rim, mm
 * @param lean how far each wall comes inwards per mm down
 */
function heldAt(half: number, lean: number, radius: number): number {
  if (lean === 0) return half >= radius ? -Infinity : Infinity;
  const slant = Math.sqrt(1 + lean * lean);
  const centre = (radius * slant - half) / lean;
  // The ball touches a wall as far below its centre as the wall leans, or else the rim.
  if (centre <= (radius * lean) / slant) return centre;
  return half < radius ? Math.sqrt(radius * radius - half * half) : -Infinity;
}

/**
 * A rim point across from another, and how far away it is along that one's direction; q is -1 if there is
 * none.
 */
interface Opposite {
  q: number;
  apartMm: number;
}

/** Share of a wall's height at which the ground across from it counts as risen again. */
const RISEN = 0.75;
/** Least cosine to straight back. */
const BACK = 0.9;

/** Looks across from a rim point until the ground rises again, and there for a rim that faces back. */
function oppositeRims(
  { points, facing }: WallRims,
  window: GridWindow,
  heights: Float64Array,
): (p: number, mostMm: number) => Opposite {
  const { pitchMm } = window;
  const near = pointsAround(points, 4 * pitchMm);
  const found: Opposite = { q: -1, apartMm: 0 };
  return (p, mostMm) => {
    const nx = facing[2 * p],
      ny = facing[2 * p + 1];
    const px = points[3 * p],
      py = points[3 * p + 1],
      pz = points[3 * p + 2];
    found.q = -1;
    let lowest = pz,
      at = 2 * pitchMm;
    for (; at <= mostMm; at += pitchMm) {
      const height = heightAt(window, heights, px + at * nx, py + at * ny);
      if (height < lowest) lowest = height;
      else if (height > RISEN * pz + (1 - RISEN) * lowest && lowest < pz - pitchMm) break;
    }
    if (at > mostMm) return found;
    let aside = Infinity;
    near(px + at * nx, py + at * ny, 3 * pitchMm, (q) => {
      if (facing[2 * q] * nx + facing[2 * q + 1] * ny > -BACK) return;
      const dx = points[3 * q] - px,
        dy = points[3 * q + 1] - py;
      const off = Math.abs(dx * ny - dy * nx);
      if (off >= aside) return;
      aside = off;
      found.q = q;
      found.apartMm = dx * nx + dy * ny;
    });
    return found;
  };
}

/** Of the nearest node; `-Infinity` beside the window. */
function heightAt(window: GridWindow, heights: Float64Array, x: number, y: number): number {
  const { originXMm, originYMm, pitchMm, columns, rows } = window;
  const i = Math.round((x - originXMm) / pitchMm),
    j = Math.round((y - originYMm) / pitchMm);
  return i >= 0 && j >= 0 && i < columns && j < rows ? heights[j * columns + i] : -Infinity;
}
