type Numbers = Float64Array | Int32Array | Uint32Array;

/** Arrays of numbers one after the other. @param make of what kind */
export function concatenated<T extends Numbers>(
  make: new (length: number) => T,
  parts: readonly ArrayLike<number>[],
): T {
  const out = new make(parts.reduce((length, part) => length + part.length, 0));
  let next = 0;
  for (const part of parts) {
    out.set(part, next);
    next += part.length;
  }
  return out;
}
