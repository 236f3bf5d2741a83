/** x' = a x + c y + e, y' = b x + d y + f: the six numbers of SVG's matrix(a b c d e f). */
export type Affine = readonly [number, number, number, number, number, number];

export const IDENTITY: Affine = [1, 0, 0, 1, 0, 0];

/** The map that applies `inner` first, then `outer`. */
export function compose(outer: Affine, inner: Affine): Affine {
  const [a, b, c, d, e, f] = outer;
  const [g, h, i, j, k, l] = inner;
  return [a * g + c * h, b * g + d * h, a * i + c * j, b * i + d * j, a * k + c * l + e, b * k + d * l + f];
}

export const applyTo = ([a, b, c, d, e, f]: Affine, x: number, y: number): [number, number] => [
  a * x + c * y + e,
  b * x + d * y + f,
];

/** Largest factor by which the map stretches a length: an upper bound (Frobenius norm). */
export const stretchOf = ([a, b, c, d]: Affine): number => Math.sqrt(a * a + b * b + c * c + d * d);

/** Numbers parted by blanks or commas; NaN for what is none. */
export const numberList = (text: string): number[] =>
  text
    .trim()
    .split(/[\s,]+/)
    .map(Number);

/**
 * Reads a `transform` attribute: a list of matrix, translate, scale, rotate, skewX, skewY (SVG 1.1, 7.6).
 *
 * @returns null if anything in it is not understood
 */
export function readTransform(text: string): Affine | null {
  let result = IDENTITY;
  let rest = text.trim();
  while (rest !== '') {
    const match = /^([a-zA-Z]+)\s*\(([^()]*)\)[\s,]*/.exec(rest);
    if (!match) return null;
    rest = rest.slice(match[0].length);
    const numbers = numberList(match[2]);
    const one = numbers.every(Number.isFinite) ? single(match[1], numbers) : null;
    if (one === null) return null;
    result = compose(result, one);
  }
  return result;
}

function single(name: string, n: readonly number[]): Affine | null {
  const rad = (degrees: number) => (degrees * Math.PI) / 180;
  const key = `${name} ${n.length}`;
  switch (key) {
    case 'matrix 6':
      return [n[0], n[1], n[2], n[3], n[4], n[5]];
    case 'translate 1':
      return [1, 0, 0, 1, n[0], 0];
    case 'translate 2':
      return [1, 0, 0, 1, n[0], n[1]];
    case 'scale 1':
      return [n[0], 0, 0, n[0], 0, 0];
    case 'scale 2':
      return [n[0], 0, 0, n[1], 0, 0];
    case 'rotate 1':
      return turn(rad(n[0]));
    case 'rotate 3':
      return compose(compose([1, 0, 0, 1, n[1], n[2]], turn(rad(n[0]))), [1, 0, 0, 1, -n[1], -n[2]]);
    case 'skewX 1':
      return [1, 0, Math.tan(rad(n[0])), 1, 0, 0];
    case 'skewY 1':
      return [1, Math.tan(rad(n[0])), 0, 1, 0, 0];
    default:
      return null;
  }
}

const turn = (angle: number): Affine => [
  Math.cos(angle),
  Math.sin(angle),
  -Math.sin(angle),
  Math.cos(angle),
  0,
  0,
];
