import { CLASSES } from '../core/classes.js';
import type { TracedBorders } from '../outlines/trace-rings.js';
import type { Curve, NamedCurves } from '../write/coloured-glb.js';
import type { NumberedRegions } from '../zones/number-regions.js';

/** Borders between classes as curves in space, each once, named after the two classes beside it. */
export function borderCurves({ curves }: TracedBorders, { classOf }: NumberedRegions): NamedCurves[] {
  const byName = new Map<string, Curve[]>();
  const classOfRegion = (region: number): number => (region < 0 ? CLASSES.length : classOf[region]);
  for (let c = 0; c < curves.closed.length; c++) {
    const pair = [classOfRegion(curves.left[c]), classOfRegion(curves.right[c])].sort((a, b) => a - b);
    const name = `border ${pair.map((cls) => CLASSES[cls] ?? 'end').join('-')}`;
    const curve = { points: curves.points.slice(3 * curves.start[c], 3 * curves.start[c + 1]), closed: curves.closed[c] === 1 };
    const list = byName.get(name);
    if (list) list.push(curve); else byName.set(name, [curve]);
  }
  return [...byName].sort(([a], [b]) => (a < b ? -1 : 1)).map(([name, list]) => ({ name, curves: list }));
}
