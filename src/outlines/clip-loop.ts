/** An upright rectangle, in the coordinates of a plane. */
export interface Frame {
  readonly min: readonly [number, number];
  readonly max: readonly [number, number];
}

/**
 * What of a closed loop lies in a frame; it may run along the frame's border where it was cut.
 *
 * @param points (2 P) flat; the loop closes by itself
 * @returns likewise; empty: all of it lies outside
 *
 * Source: Sutherland & Hodgman, Comm. ACM 17:32-42, 1974 (from memory).
 */
export function clippedLoop(points: readonly number[], { min, max }: Frame): number[] {
  const sides = [
    { axis: 0, limit: min[0], sign: 1 },
    { axis: 0, limit: max[0], sign: -1 },
    { axis: 1, limit: min[1], sign: 1 },
    { axis: 1, limit: max[1], sign: -1 },
  ];
  return sides.reduce<number[]>((loop, side) => cutBy(loop, side), [...points]);
}

function cutBy(
  loop: readonly number[],
  { axis, limit, sign }: { readonly axis: number; readonly limit: number; readonly sign: number },
): number[] {
  const inside = (i: number): number => sign * (loop[i + axis] - limit);
  const kept: number[] = [];
  for (let i = 0; i < loop.length; i += 2) {
    const before = (i + loop.length - 2) % loop.length;
    const a = inside(before),
      b = inside(i);
    if (a >= 0 !== b >= 0) {
      const t = a / (a - b);
      kept.push(
        loop[before] + t * (loop[i] - loop[before]),
        loop[before + 1] + t * (loop[i + 1] - loop[before + 1]),
      );
    }
    if (b >= 0) kept.push(loop[i], loop[i + 1]);
  }
  return kept;
}
