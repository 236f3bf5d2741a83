/** The last answer of each stage of some work, for when it is done again with other wishes. */
export interface LastAnswers {
  /**
   * The stage's last answer where it was made from the same, else a new one.
   *
   * @param from all that the answer depends on; objects are the same only if they are one, so small ones are best
   *   given as text
   */
  recall<T>(stage: string, from: readonly unknown[], make: () => T): T;
}

/** Works everything out anew, and keeps nothing. */
export const NO_LAST_ANSWERS: LastAnswers = { recall: (_stage, _from, make) => make() };

export function lastAnswers(): LastAnswers {
  const kept = new Map<string, { readonly from: readonly unknown[]; readonly answer: unknown }>();
  return {
    recall: <T>(stage: string, from: readonly unknown[], make: () => T): T => {
      const last = kept.get(stage);
      if (last && last.from.length === from.length && from.every((one, i) => Object.is(one, last.from[i])))
        return last.answer as T;
      // The old answer goes before the new one is made: both may be large.
      kept.delete(stage);
      const answer = make();
      kept.set(stage, { from, answer });
      return answer;
    },
  };
}
