/**
 * All cases where the accuracy aimed at is asked for (`npm run recipes`), else those at the places given: of each
 * parameter the ends and one between, each paired with other values of the others than beside it, since errors once
 * found went with one parameter each: the play, the size, the chords, the draft, the turn.
 */
export const chosen = <T>(cases: readonly T[], places: readonly number[]): T[] =>
  process.env.RECIPES === 'all' ? [...cases] : places.map((i) => cases[i]);
