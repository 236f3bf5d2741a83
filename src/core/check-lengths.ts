/**
 * Arrays that belong together must agree in length: what a typed array lacks reads as undefined, and the answer is
 * quietly wrong.
 *
 * @param lengths by what they are of, found and expected
 * @throws {RangeError} with the caller's name, for the first that does not fit
 */
export function checkLengths(
  caller: string,
  lengths: Readonly<Record<string, readonly [found: number, expected: number]>>,
): void {
  for (const [what, [found, expected]] of Object.entries(lengths))
    if (found !== expected) throw new RangeError(`${caller}: ${found} ${what}, expected ${expected}`);
}
