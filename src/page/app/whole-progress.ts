/** About the share of a survey that each stage takes, in the order in which they begin, in hundredths. */
const SHARES: readonly (readonly [stage: string, share: number])[] = [
  ['read', 2],
  ['mesh', 5],
  ['surface', 2],
  ['classes', 8],
  ['facets', 3],
  ['height grid', 2],
  ['reach', 35],
  ['rest material', 18],
  ['other cutters', 3],
  ['stickout', 3],
  ['rest between cutters', 9],
  ['stages', 2],
  ['outlines', 2],
  ['gaps', 3],
  ['files', 3],
];

/**
 * One progress for a whole run: it never falls back, whatever a stage tells, and ends at 1 only when the run does.
 *
 * @returns of a stage and the fraction of it that is done, the share of the whole run
 */
export function wholeProgress(): (stage: string, fraction: number) => number {
  let reached = 0;
  return (stage, fraction) => {
    const at = SHARES.findIndex(([name]) => name === stage);
    if (at < 0) return reached;
    const before = SHARES.slice(0, at).reduce((sum, [, share]) => sum + share, 0);
    reached = Math.max(reached, (before + SHARES[at][1] * Math.min(1, Math.max(0, fraction))) / 100);
    return reached;
  };
}
