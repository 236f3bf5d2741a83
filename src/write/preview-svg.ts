import type { Slices } from '../time/slices.js';
import { CLASS_COLOURS } from './class-colours.js';
import { roundedPlanMm } from './number.js';
import { xmlText } from './svg-text.js';

export interface PreviewInput {
  readonly title: string;
  /** of the part in plan */
  readonly boundsMm: { readonly min: readonly [number, number]; readonly max: readonly [number, number] };
  readonly passes: readonly {
    readonly id: 'waterline' | 'raster' | 'constant';
    /** 1: every pass is there; null: the outlines of its patches alone */
    readonly every: number | null;
    /** of pieces with steps of their own */
    readonly slices: readonly Omit<Slices, 'plane'>[];
  }[];
}

const MARGIN_MM = 2;
const COLOUR = {
  waterline: CLASS_COLOURS.steep,
  raster: CLASS_COLOURS.level,
  constant: CLASS_COLOURS.overlap,
} as const;
/** Points closer to the last one drawn than this are left out, mm. */
const LEAST_MM = 0.05;

/**
 * Passes in plan, one path for each polyline; mm, y up turned over once. Waterline dashed, raster drawn
 * through.
 */
export function previewSvg({ title, boundsMm: { min, max }, passes }: PreviewInput): string {
  const width = roundedPlanMm(max[0] - min[0] + 2 * MARGIN_MM),
    height = roundedPlanMm(max[1] - min[1] + 2 * MARGIN_MM);
  const groups = passes.map(({ id, every, slices }) => {
    const drawn = every === 1 ? 'every pass' : `one pass in ${every}`,
      note = every === null ? 'outlines of patches at constant spacing' : drawn;
    const dash = id === 'waterline' ? ' stroke-dasharray="0.6 0.3"' : '';
    return (
      `<g id="preview-${id}" fill="none" stroke="${COLOUR[id]}" stroke-width="0.08"${dash}>` +
      `<title>${id}, ${note}</title>\n${slices.map((own) => paths(own, min[0] - MARGIN_MM, max[1] + MARGIN_MM)).join('')}</g>\n`
    );
  });
  return (
    `<svg xmlns="http://www.w3.org/2000/svg" width="${width}mm" height="${height}mm" viewBox="0 0 ${width} ${height}">\n` +
    `<title>${xmlText(title)}</title>\n<desc>Passes on the surface, thinned out; a preview to look at, no toolpath.</desc>\n` +
    `<rect width="${width}" height="${height}" fill="#ffffff"/>\n${groups.join('')}</svg>\n`
  );
}

function paths({ points, start, closed }: Omit<Slices, 'plane'>, left: number, top: number): string {
  let text = '';
  for (let l = 0; l + 1 < start.length; l++) {
    let path = '',
      x = Infinity,
      y = Infinity;
    for (let i = start[l]; i < start[l + 1]; i++) {
      const dx = points[3 * i] - x,
        dy = points[3 * i + 1] - y;
      const isEnd = i === start[l + 1] - 1;
      if (!isEnd && dx * dx + dy * dy < LEAST_MM * LEAST_MM) continue;
      x = points[3 * i];
      y = points[3 * i + 1];
      path += `${path === '' ? 'M' : 'L'}${roundedPlanMm(x - left)} ${roundedPlanMm(top - y)}`;
    }
    if (path !== '') text += `<path d="${path}${closed[l] ? 'Z' : ''}"/>\n`;
  }
  return text;
}
