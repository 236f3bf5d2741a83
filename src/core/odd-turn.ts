/**
 * Cosine and sine of a turn in plan by atan of the golden ratio's fraction, 0.618..., the slope worst
 * approximated by fractions: edges along a part's axes then lie along those of no lattice.
 */
export const ODD_TURN_COS = 1 / Math.sqrt(1 + ((Math.sqrt(5) - 1) / 2) ** 2);
export const ODD_TURN_SIN = Math.sqrt(1 - ODD_TURN_COS * ODD_TURN_COS);
