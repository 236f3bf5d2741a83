import type { SurfaceClass } from '../core/classes.js';

/** Lines of one square tile, as path data in a tile of side 1; none: plain. */
const TILE_LINES: Readonly<Record<SurfaceClass, string>> = {
  level: '',
  shallow: 'M0 0.5H1',
  overlap: 'M0 1L1 0M-0.25 0.25L0.25 -0.25M0.75 1.25L1.25 0.75',
  steep:
    'M0 0L1 1M0.75 -0.25L1.25 0.25M-0.25 0.75L0.25 1.25M0 1L1 0M-0.25 0.25L0.25 -0.25M0.75 1.25L1.25 0.75',
  undercut: 'M0 0.5H1M0.5 0V1',
  hidden: 'M0.2 0.5H0.8',
  underside: 'M0.4 0.5H0.6',
  outside: 'M0.5 0V1',
};

export interface Hatch {
  readonly id: string;
  readonly cls: SurfaceClass;
  /** Behind the lines, `#RRGGBB`. */
  readonly ground: string;
  readonly lineColour: string;
  /** Distance of the lines, mm. */
  readonly spacingMm: number;
  readonly lineMm: number;
}

/** An SVG pattern that tells a class without its colour; each class has lines of its own. */
export function hatchPattern({ id, cls, ground, lineColour, spacingMm, lineMm }: Hatch): string {
  const lines =
    TILE_LINES[cls] === ''
      ? ''
      : `<path d="${TILE_LINES[cls]}" fill="none" stroke="${lineColour}" ` +
        `stroke-width="${lineMm / spacingMm}"/>`;
  return (
    `<pattern id="${id}" patternUnits="userSpaceOnUse" width="1" height="1" patternTransform="scale(${spacingMm})">` +
    `<rect width="1" height="1" fill="${ground}"/>${lines}</pattern>`
  );
}

/** A key of one colour, or of one hatch: `url(#key-steep)`. */
export const swatch = (fill: string): string =>
  `<svg class="swatch" viewBox="0 0 30 18" aria-hidden="true"><rect width="30" height="18" fill="${fill}"/></svg>`;
