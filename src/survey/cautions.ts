/** What every result is to be read with. */
export const CAUTIONS: readonly string[] = [
  'A planning aid: check every toolpath by simulation and prove it at the machine before cutting steel.',
  "The cutter maker's limits, local safety rules and the judgement of qualified people come first.",
  "Fixtures, clamps, the machine's travels and the blank are not part of the model.",
];
