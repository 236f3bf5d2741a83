/**
 * Two unit vectors at right angles to the unit normal n.
 *
 * @param out (6) filled in
 *
 * Source: Duff et al. 2017, J. Computer Graphics Techniques 6(1):1-8.
 */
export function tangents([x, y, z]: Float64Array, out: Float64Array): void {
  const sign = z >= 0 ? 1 : -1;
  const a = -1 / (sign + z),
    b = x * y * a;
  out[0] = 1 + sign * x * x * a;
  out[1] = sign * b;
  out[2] = -sign * x;
  out[3] = b;
  out[4] = sign + y * y * a;
  out[5] = -y;
}
