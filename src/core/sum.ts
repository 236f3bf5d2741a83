/** Running sum with Neumaier's compensation: the order of the terms hardly matters. */
export interface RunningSum {
  add(term: number): void;
  value(): number;
}

/** A new sum, zero. Source: Neumaier 1974, doi:10.1002/zamm.19740540106. */
export function runningSum(): RunningSum {
  // The sum, and what rounding lost of it: variables of a closure would be allocated anew at every change.
  const parts = new Float64Array(2);
  return {
    add(term: number): void {
      const sum = parts[0],
        next = sum + term;
      parts[1] += Math.abs(sum) >= Math.abs(term) ? sum - next + term : term - next + sum;
      parts[0] = next;
    },
    value: () => parts[0] + parts[1],
  };
}

/** Compensated sum of all entries; 0 for none. NaN if any entry is NaN. */
export function compensatedSum(terms: ArrayLike<number>): number {
  const sum = runningSum();
  for (let i = 0; i < terms.length; i++) sum.add(terms[i]);
  return sum.value();
}
