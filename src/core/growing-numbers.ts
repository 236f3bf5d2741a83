/**
 * A list of numbers that grows, in one typed array: a plain list of millions of numbers costs several times
 * the room.
 */
export interface GrowingNumbers {
  length(): number;
  push(value: number): void;
  /** A copy of exact length. */
  toArray(): Float64Array;
}

/** An empty list. */
export function growingNumbers(): GrowingNumbers {
  let values = new Float64Array(1024);
  let count = 0;
  return {
    length: () => count,
    push: (value) => {
      if (count === values.length) {
        const next = new Float64Array(2 * values.length);
        next.set(values);
        values = next;
      }
      values[count++] = value;
    },
    toArray: () => values.slice(0, count),
  };
}
