/** Ground that a pass cuts with one step for all, and the step that it would allow by itself. */
export interface StepGround {
  /** with the step for all */
  readonly minutes: number;
  readonly ownStepMm: number;
}

/** Ground that is worth being cut apart. */
export interface StepSetter {
  /** its indices */
  readonly apart: readonly number[];
  /** step that the rest would allow, mm */
  readonly restStepMm: number;
  readonly savesMinutes: number;
}

/**
 * Which ground to cut apart, at the step for all, so that the rest may take a larger one and most time is saved. The
 * minutes of a pass go with the number of its lines, so those of the rest fall as its step grows.
 *
 * @param stepMm for all: the least of their own
 * @returns null where nothing is saved
 */
export function stepSetter(grounds: readonly StepGround[], stepMm: number): StepSetter | null {
  let best: StepSetter | null = null;
  for (const restStepMm of new Set(grounds.map(({ ownStepMm }) => ownStepMm))) {
    const apart = [...grounds.keys()].filter((i) => grounds[i].ownStepMm < restStepMm);
    // Where all would allow more, it is set by ground that is not cut.
    if (apart.length === 0) continue;
    const savesMinutes = grounds.reduce(
      (sum, { minutes, ownStepMm }) =>
        ownStepMm < restStepMm ? sum : sum + minutes * (1 - stepMm / restStepMm),
      0,
    );
    if (!(savesMinutes > (best?.savesMinutes ?? 0))) continue;
    best = { apart, restStepMm, savesMinutes };
  }
  return best;
}
