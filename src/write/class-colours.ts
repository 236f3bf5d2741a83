import type { SurfaceClass } from '../core/classes.js';

/**
 * Colour of each class, sRGB. The four machinable ones are from Tol's muted scheme (Paul Tol,
 * SRON/EPS/TN/09-002), which colour-blind eyes keep apart also on a lit surface; the others are greys.
 */
export const CLASS_COLOURS: Readonly<Record<SurfaceClass, string>> = {
  level: '#117733',
  shallow: '#DDCC77',
  overlap: '#88CCEE',
  steep: '#332288',
  undercut: '#555555',
  hidden: '#777777',
  underside: '#999999',
  outside: '#BBBBBB',
};

/**
 * Linear red, green and blue, 0 to 1, of an sRGB colour `#RRGGBB`.
 *
 * Source: IEC 61966-2-1, the transfer function that glTF 2.0 asks of its colour factors' readers.
 *
 * @throws {RangeError} if the text is not six hexadecimal digits after `#`
 */
export function linearRgb(hex: string): [number, number, number] {
  if (!/^#[0-9a-f]{6}$/i.test(hex)) throw new RangeError(`linearRgb: "${hex}" is not #RRGGBB`);
  const channel = (start: number): number => {
    const encoded = Number.parseInt(hex.slice(start, start + 2), 16) / 255;
    return encoded <= 0.04045 ? encoded / 12.92 : ((encoded + 0.055) / 1.055) ** 2.4;
  };
  return [channel(1), channel(3), channel(5)];
}
