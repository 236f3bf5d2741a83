import { flatRadiusMm, type CutterProfile } from './cutter-profile.js';

/** Rounding of catalogue values, mm. */
const SAME_MM = 1e-6;

/**
 * Whether a cutter surely reaches everything that another one reaches, on any part.
 *
 * A straight cutter is a disc of radius DC/2 - RE swept by a ball of radius RE, carried upwards. Discs are
 * made of smaller discs and balls of smaller balls, so where neither of the two is larger, the other cutter
 * is filled by places of this one. A ball in a corner that a flat end leaves, or a flat end in the bottom of
 * a bowl, shows that both must hold. Of tapered cutters nothing is claimed.
 */
export function reachesAllOf(cutter: CutterProfile, other: CutterProfile): boolean {
  if (cutter.taperHalfAngleRad > 0 || other.taperHalfAngleRad > 0) return false;
  return (
    flatRadiusMm(cutter) <= flatRadiusMm(other) + SAME_MM &&
    cutter.cornerRadiusMm <= other.cornerRadiusMm + SAME_MM
  );
}

/**
 * The same shape taken larger, as the cutter before is when the next one shall run out onto clean surface:
 * what it leaves holds all that the cutter itself leaves.
 *
 * @param share of radius and corner radius, 0 .. 1; common practice is 0.02 to 0.05, no source
 */
export const enlargedProfile = (profile: CutterProfile, share: number): CutterProfile => ({
  ...profile,
  radiusMm: profile.radiusMm * (1 + share),
  cornerRadiusMm: profile.cornerRadiusMm * (1 + share),
});
