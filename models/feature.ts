import type { Point, Point2, SoupBuilder } from '../tests/support/shapes/soup.js';
import { addLevelFace } from './level-face.js';
import { outline, ring, roundedProfile, type OutlineSpec, type ProfileCorner } from './outline.js';

/** A pocket, bore, rib or boss in a level face: an outline in plan swept along a profile. */
export interface Feature {
  readonly outline: OutlineSpec;
  /** (inset, z, rounding radius) from the face inwards */
  readonly corners: readonly ProfileCorner[];
  /** `floor`: closed level at the last corner's height; `through`: open, for the face on the other side */
  readonly end: 'floor' | 'through';
}

/** The rings a feature leaves open: where it meets its face, and (for a bore) the far side. */
export interface FeatureRings {
  readonly first: Point[];
  readonly last: Point[];
}

/** Bands between successive rings. */
export function addRings(soup: SoupBuilder, rings: readonly (readonly Point[])[]): void {
  for (let i = 0; i + 1 < rings.length; i++) soup.band(rings[i], rings[i + 1]);
}

/**
 * The feature's profile with its roundings. It comes in level and goes out level, or straight on where
 * through.
 */
export function featureProfile({ corners, end }: Feature, refine: number): Point2[] {
  const [first, last] = [corners[0], corners[corners.length - 1]];
  const to: Point2 = end === 'floor' ? [last[0] + 1e3, last[1]] : [last[0], last[1] - 1e3];
  return roundedProfile([first[0] - 1e3, first[1]], corners, to, refine);
}

/** Adds the feature's walls, and its floor if it has one. */
export function addFeature(soup: SoupBuilder, feature: Feature, refine: number): FeatureRings {
  const shape = outline(feature.outline, refine);
  const profile = featureProfile(feature, refine);
  const greatest = Math.max(...profile.map(([d]) => d));
  if (!(greatest < shape.radius))
    throw new RangeError(`addFeature: inset ${greatest} of a corner of ${shape.radius}`);
  const rings = profile.map(([d, z]) => ring(shape, d, z));
  addRings(soup, rings);
  const last = rings[rings.length - 1];
  if (feature.end === 'floor') addLevelFace(soup, last, []);
  return { first: rings[0], last };
}

/** Wall corners of a drafted pocket `depth` deep (a rib where negative) in a face at height `z`. */
export function drafted({
  z,
  depth,
  draftDeg,
  edge = 0,
  fillet,
}: {
  z: number;
  depth: number;
  draftDeg: number;
  edge?: number;
  fillet: number;
}): ProfileCorner[] {
  return [
    [0, z, edge],
    [Math.abs(depth) * Math.tan((draftDeg * Math.PI) / 180), z - depth, fillet],
  ];
}
