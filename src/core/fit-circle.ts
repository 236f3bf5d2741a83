/**
 * Algebraic least-squares circle about the mean of some points (Kåsa 1976, doi:10.1109/TIM.1976.6312298): exact where
 * they lie on one.
 *
 * @param points (2 N) x, y
 * @returns of points on a line numbers that are not finite, or a circle as good as straight
 */
export function fitCircle(points: ArrayLike<number>): {
  readonly x: number;
  readonly y: number;
  readonly radius: number;
} {
  const count = points.length / 2;
  let mx = 0,
    my = 0;
  for (let i = 0; i < points.length; i += 2) [mx, my] = [mx + points[i] / count, my + points[i + 1] / count];
  let xx = 0,
    xy = 0,
    yy = 0,
    xq = 0,
    yq = 0,
    q = 0;
  for (let i = 0; i < points.length; i += 2) {
    const x = points[i] - mx,
      y = points[i + 1] - my,
      square = x * x + y * y;
    xx += x * x;
    xy += x * y;
    yy += y * y;
    xq += x * square;
    yq += y * square;
    q += square;
  }
  const determinant = 2 * (xx * yy - xy * xy);
  const cx = (xq * yy - yq * xy) / determinant,
    cy = (yq * xx - xq * xy) / determinant;
  return { x: mx + cx, y: my + cy, radius: Math.sqrt(cx * cx + cy * cy + q / count) };
}
