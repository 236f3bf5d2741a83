const POWERS_OF_TEN = Float64Array.from({ length: 23 }, (_, k) => Number(`1e${k}`));
const MOST_EXACT = 2 ** 53;
const DECODER = new TextDecoder();

/**
 * The decimal number that begins at `cursor.at`, which is moved to its end.
 *
 * Mantissa and power of ten are both exact in a double for up to 15 digits and 22 places, so that one
 * rounding gives the nearest double (Clinger 1990, doi:10.1145/93548.93557); longer ones go through `Number`.
 *
 * @returns NaN if no number begins there, or if anything but space follows it (`1,5`, `nan`, `1.2.3`)
 */
export function scanNumber(bytes: Uint8Array, cursor: { at: number }): number {
  const start = cursor.at;
  let at = start,
    digits = 0,
    mantissa = 0,
    places = 0;
  const sign = bytes[at];
  if (sign === 45 || sign === 43) at++;
  let digit = bytes[at] - 48;
  while (digit >= 0 && digit <= 9) {
    mantissa = 10 * mantissa + digit;
    digits++;
    digit = bytes[++at] - 48;
  }
  if (bytes[at] === 46) {
    digit = bytes[++at] - 48;
    while (digit >= 0 && digit <= 9) {
      mantissa = 10 * mantissa + digit;
      digits++;
      places++;
      digit = bytes[++at] - 48;
    }
  }
  if (digits === 0) return NaN;
  let exponent = 0;
  if ((bytes[at] | 32) === 101) {
    const minus = bytes[at + 1] === 45;
    at += minus || bytes[at + 1] === 43 ? 2 : 1;
    digit = bytes[at] - 48;
    if (!(digit >= 0 && digit <= 9)) return NaN;
    while (digit >= 0 && digit <= 9) {
      exponent = Math.min(10 * exponent + digit, 9999);
      digit = bytes[++at] - 48;
    }
    if (minus) exponent = -exponent;
  }
  if (at < bytes.length && bytes[at] > 32) return NaN;
  cursor.at = at;
  const power = exponent - places;
  if (mantissa >= MOST_EXACT || power < -22 || power > 22)
    return Number(DECODER.decode(bytes.subarray(start, at)));
  const size = power < 0 ? mantissa / POWERS_OF_TEN[-power] : mantissa * POWERS_OF_TEN[power];
  return sign === 45 ? -size : size;
}
