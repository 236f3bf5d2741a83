import { arcPoints } from './svg-curves.js';
import { flattenPath, type FlatPath } from './svg-path.js';
import { numberList } from './svg-transform.js';

/** A length attribute in user units, 0 if it is not there; NaN if it is not understood. */
export type ReadLength = (name: string) => number;

/** Elements that enclose an area, by name. */
export const SHAPE_ELEMENTS = ['path', 'rect', 'circle', 'ellipse', 'polygon'] as const;
export type ShapeElement = (typeof SHAPE_ELEMENTS)[number];

/**
 * Straight sides of an SVG basic shape or path (SVG 1.1, 9).
 *
 * @param attribute value of an attribute that is not a length
 * @param tolerance how far a side may stray from its curve, in user units
 * @returns null if an attribute is not understood; no path where the shape has no extent
 */
export function flattenShape(
  name: ShapeElement,
  length: ReadLength,
  attribute: (name: string) => string | undefined,
  tolerance: number,
): FlatPath[] | null {
  switch (name) {
    case 'path':
      return flattenPath(attribute('d') ?? '', tolerance);
    case 'polygon':
      return polygon(attribute('points') ?? '');
    case 'rect':
      return rectangle(length, attribute, tolerance);
    case 'circle':
      return ellipse(length('cx'), length('cy'), length('r'), length('r'), tolerance);
    case 'ellipse':
      return ellipse(length('cx'), length('cy'), length('rx'), length('ry'), tolerance);
  }
}

function polygon(text: string): FlatPath[] | null {
  const points = text.trim() === '' ? [] : numberList(text);
  if (points.length % 2 !== 0 || !points.every(Number.isFinite)) return null;
  return [{ points, closed: true }];
}

function ellipse(cx: number, cy: number, rx: number, ry: number, tolerance: number): FlatPath[] | null {
  if (Number.isNaN(cx + cy) || !(rx >= 0 && ry >= 0)) return null;
  if (rx === 0 || ry === 0) return [];
  const half = (from: number, to: number) => arcPoints([from, cy], [rx, ry, 0, 0, 1], [to, cy], tolerance);
  return [{ points: [...half(cx + rx, cx - rx), ...half(cx - rx, cx + rx)], closed: true }];
}

function rectangle(
  length: ReadLength,
  attribute: (name: string) => string | undefined,
  tolerance: number,
): FlatPath[] | null {
  const [x, y, w, h] = [length('x'), length('y'), length('width'), length('height')];
  // A corner radius that is not given takes the value of the other.
  const given = (name: string) => (attribute(name) ?? 'auto').trim() !== 'auto';
  const rx = length(given('rx') ? 'rx' : 'ry'),
    ry = length(given('ry') ? 'ry' : 'rx');
  if (Number.isNaN(x + y) || !(w >= 0 && h >= 0 && rx >= 0 && ry >= 0)) return null;
  if (w === 0 || h === 0) return [];
  const a = Math.min(rx, w / 2),
    b = Math.min(ry, h / 2);
  if (a === 0 || b === 0) return [{ points: [x, y, x + w, y, x + w, y + h, x, y + h], closed: true }];
  const corner = (fx: number, fy: number, tx: number, ty: number) => [
    fx,
    fy,
    ...arcPoints([fx, fy], [a, b, 0, 0, 1], [tx, ty], tolerance),
  ];
  const points = [
    ...corner(x + w - a, y, x + w, y + b),
    ...corner(x + w, y + h - b, x + w - a, y + h),
    ...corner(x + a, y + h, x, y + h - b),
    ...corner(x, y + b, x + a, y),
  ];
  return [{ points, closed: true }];
}
