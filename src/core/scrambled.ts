/**
 * A number in 0 .. 1, without its ends, that looks as if drawn at random, the same for the same whole number. The mixing
 * is the finalizer of MurmurHash3 (A. Appleby, public domain, from memory).
 */
export function scrambled(i: number): number {
  let h = Math.imul(i + 1, 0x9e3779b1);
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return (((h ^ (h >>> 16)) >>> 0) + 0.5) / 2 ** 32;
}
