/**
 * Number of single-character insertions, deletions, replacements and swaps of neighbours that turn `a` into
 * `b` (restricted Damerau-Levenshtein distance), letter case ignored.
 */
export function editDistance(a: string, b: string): number {
  const from = a.toLowerCase();
  const to = b.toLowerCase();
  let beforeLast: number[] = [];
  let last = Array.from({ length: to.length + 1 }, (_, j) => j);
  for (let i = 1; i <= from.length; i++) {
    const row = [i];
    for (let j = 1; j <= to.length; j++) {
      const replaced = last[j - 1] + (from[i - 1] === to[j - 1] ? 0 : 1);
      row[j] = Math.min(last[j] + 1, row[j - 1] + 1, replaced);
      if (i > 1 && j > 1 && from[i - 1] === to[j - 2] && from[i - 2] === to[j - 1]) {
        row[j] = Math.min(row[j], beforeLast[j - 2] + 1);
      }
    }
    beforeLast = last;
    last = row;
  }
  return last[to.length];
}

/**
 * The known word that a mistyped one most likely means: the nearest by edit distance, or one that begins with
 * it.
 *
 * @returns null if every known word differs in more than 40 % of its letters
 */
export function nearestWord(word: string, known: readonly string[]): string | null {
  const lower = word.toLowerCase();
  const extended = known.find((candidate) => lower.length > 2 && candidate.toLowerCase().startsWith(lower));
  if (extended !== undefined) return extended;
  let best: string | null = null;
  let bestDistance = Infinity;
  for (const candidate of known) {
    const distance = editDistance(word, candidate);
    if (distance < bestDistance && distance <= 0.4 * Math.max(word.length, candidate.length)) {
      best = candidate;
      bestDistance = distance;
    }
  }
  return best;
}
