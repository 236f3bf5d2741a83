export type GrowingNumbers = ReturnType<typeof growingNumbers>;

/**
 * A list of numbers that grows, in one typed array: a plain list of millions of numbers costs several times
 * the room.
 */
export function growingNumbers() {
  let values = new Float64Array(1024);
  let count = 0;
  return {
    length: (): number => count,
    push: (value: number): void => {
      if (count === values.length) values = withRoom(values, 2 * count, Float64Array);
      values[count++] = value;
    },
    /** A copy of exact length. */
    toArray: (): Float64Array => values.slice(0, count),
  };
}

/** A longer copy of an array, zeros behind it. */
export function withRoom<T extends Float64Array | Uint32Array | Int32Array | Uint8Array>(
  array: T,
  length: number,
  make: new (length: number) => T,
): T {
  const longer = new make(length);
  longer.set(array);
  return longer;
}
