/** Running sum with Neumaier's compensation: the order of the terms hardly matters. */
export interface RunningSum {
  add(term: number): void;
  value(): number;
}

/** A new sum, zero. Source: Neumaier 1974, doi:10.1002/zamm.19740540106. */
export function runningSum(): RunningSum {
  let sum = 0;
  let lost = 0;
  return {
    add(term: number): void {
      const next = sum + term;
      lost += Math.abs(sum) >= Math.abs(term) ? sum - next + term : term - next + sum;
      sum = next;
    },
    value: () => sum + lost,
  };
}

/** Compensated sum of all entries; 0 for none. NaN if any entry is NaN. */
export function compensatedSum(terms: ArrayLike<number>): number {
  const sum = runningSum();
  for (let i = 0; i < terms.length; i++) sum.add(terms[i]);
  return sum.value();
}
