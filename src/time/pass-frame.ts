import { bend } from './facet-curvature.js';
import type { CutterShape, FinishingSurface, Strategy } from './finishing-surface.js';

/** Wall angles below this count as level: half a degree, as the class `level` has it. */
export const LEVEL_SINE = Math.sin((0.5 * Math.PI) / 180);

/** Where a pass runs over one facet; filled anew for each facet, so nothing is allocated in the loops. */
export type PassFrame = ReturnType<typeof newFrame>;

/** A frame to fill. */
export const newFrame = () => ({
  /**
   * |∇f| of the function whose level sets are the passes: spacing in space over that on the surface, 0 to 1
   */
  gradient: 0,
  /** unit tangent along the feed */
  tx: 1,
  ty: 0,
  tz: 0,
});

export type Framer = (nx: number, ny: number, nz: number, frame: PassFrame) => void;

/** How to find the frame of a facet under `strategy`; the choice is made once, not per facet. */
export function framer(strategy: Strategy): Framer {
  if (strategy.kind === 'raster') return rasterFramer(Math.cos(strategy.feedRad), Math.sin(strategy.feedRad));
  const following = strategy.kind === 'following';
  return (nx, ny, _nz, frame) => {
    const sine = Math.sqrt(nx * nx + ny * ny);
    frame.gradient = following ? 1 : sine;
    frame.tx = sine > 0 ? -ny / sine : 1;
    frame.ty = sine > 0 ? nx / sine : 0;
    frame.tz = 0;
  };
}

function rasterFramer(fx: number, fy: number): Framer {
  return (nx, ny, nz, frame) => {
    // |n × d| for the step direction d: the same as √(1 - (n·d)²), and exact where that cancels.
    const along = nx * fx + ny * fy;
    const gradient = Math.sqrt(nz * nz + along * along);
    const scale = gradient > 0 ? nz / gradient : 1;
    frame.gradient = gradient;
    frame.tx = scale * fx;
    frame.ty = scale * fy;
    frame.tz = gradient > 0 ? -along / gradient : 0;
  };
}

/**
 * Curvature of the surface along the feed at facet `f`, 1/mm, convex positive; 0 without curvature. Passes
 * that follow the surface have no single direction: the mean curvature stands for it.
 */
export function feedBend(surface: FinishingSurface, f: number, strategy: Strategy, frame: PassFrame): number {
  const k = surface.curvature,
    at = 6 * f;
  if (!k) return 0;
  if (strategy.kind === 'following') return (k[at] + k[at + 1] + k[at + 2]) / 2;
  const { tx, ty, tz } = frame;
  return bend(k, at, tx, ty, tz, tx, ty, tz);
}

/**
 * Length of the cutter-centre path over that of the contact path, at one facet.
 *
 * `1 + R k` for a ball. A bull-nose's corner circle goes round with the wall in plan as well, which adds
 * `Rm (w·t)(w·S t) / sin θ` (w the level tangent, Rm = DC/2 - RE). Never below 0: a section tighter than the
 * cutter is not reached.
 *
 * @param along what `feedBend` gives for the facet
 */
export function centreFactor(
  surface: FinishingSurface,
  f: number,
  isFollowing: boolean,
  cutter: CutterShape,
  frame: PassFrame,
  along: number,
): number {
  const k = surface.curvature;
  if (!k) return 1;
  const o = 3 * f,
    at = 6 * f;
  const corner = cutter.RE,
    flat = cutter.DC / 2 - corner;
  if (isFollowing) return Math.max(0, 1 + (flat + corner) * along);
  let factor = 1 + corner * along;
  const nx = surface.normals[o],
    ny = surface.normals[o + 1];
  const sine = Math.sqrt(nx * nx + ny * ny);
  if (flat > 0 && sine > LEVEL_SINE) {
    const wx = -ny / sine,
      wy = nx / sine;
    const turned = bend(k, at, wx, wy, 0, frame.tx, frame.ty, frame.tz);
    factor += (flat * (wx * frame.tx + wy * frame.ty) * turned) / sine;
  }
  return Math.max(0, factor);
}
