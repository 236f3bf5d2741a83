import { CLASS_INDEX, MACHINABLE_CLASSES } from '../core/classes.js';
import { digits } from '../core/figures.js';
import { finding, type Finding } from '../core/findings.js';
import { DEG_PER_RAD, RAD_PER_DEG } from '../core/units.js';
import { nextCorner } from '../part/half-edge.js';
import type { Plan } from '../plan/plan.js';
import type { Surface } from '../part/types.js';
import { connectedPatches, type Patch } from '../surface/connected-patches.js';
import type { PlanProbes } from '../zones/build-zones.js';
import { facetAngle } from '../zones/classify.js';
import { classOfLabel } from '../zones/mark-away.js';

type Release = NonNullable<Plan['release']>;
type ReleasePlace = Release['places'][number];

/** Walls that miss the asked draft by no more are let pass: rounding of coordinates, and of drawings, degrees. */
const DRAFT_ROUNDING_DEG = 0.01;
/** How far beside an edge the open is looked for, mm. */
const BESIDE_MM = 0.05;

/** Wall angle from which a wall has too little draft, radians; the surface is to be cut there. */
export const leastDraftAngle = (minDraftDeg: number): number =>
  (90 - minDraftDeg + DRAFT_ROUNDING_DEG) * RAD_PER_DEG;

/**
 * What keeps a moulding from leaving along +Z: walls with less draft than asked, and undercuts, told apart
 * from sides of the part that lean over where nothing is moulded. Draft is 90 degrees less the wall angle.
 *
 * @param surface cut at `leastDraftAngle`
 * @param labels (F) classes; upright outer sides of the part are `outside`, and not asked
 */
export function releaseOf(
  surface: Surface,
  labels: Uint8Array,
  { isOpen }: Pick<PlanProbes, 'isOpen'>,
  minDraftDeg: number,
): Release {
  const { normals } = surface;
  const classes = labels.map(classOfLabel);
  const from = leastDraftAngle(minDraftDeg);
  const walls = patchesOf(surface, (f) => classes[f] < MACHINABLE_CLASSES && facetAngle(normals, f) > from);
  const under = patchesOf(
    surface,
    (f) => classes[f] === CLASS_INDEX.undercut || classes[f] === CLASS_INDEX.hidden,
    (f) => classes[f] === CLASS_INDEX.undercut,
  );
  const isHeld = heldPatches(surface, classes, under.joinedBy, under.patches.length, isOpen);
  const draft = (faces: readonly number[]): number =>
    faces.reduce((least, f) => Math.min(least, 90 - DEG_PER_RAD * facetAngle(normals, f)), 90);
  const place = (kind: ReleasePlace['kind'], patch: Patch, faces: readonly number[]) => {
    const [x, y, z] = patch.centreMm,
      { min, max } = patch.boundsMm;
    return {
      kind,
      areaMm2: patch.areaMm2,
      centreMm: [x, y, z] as [number, number, number],
      boundsMm: {
        min: [min[0], min[1], min[2]] as [number, number, number],
        max: [max[0], max[1], max[2]] as [number, number, number],
      },
      leastDraftDeg: draft(faces),
    };
  };
  const places = [
    ...walls.patches.map((patch, i) => place('wall', patch, walls.facesOf[i])),
    ...under.patches.map((patch, i) => place(isHeld[i] ? 'undercut' : 'outer-side', patch, under.facesOf[i])),
  ];
  const total = (kind: ReleasePlace['kind']): number =>
    places.reduce((sum, one) => sum + (one.kind === kind ? one.areaMm2 : 0), 0);
  return {
    minDraftDeg,
    wallsMm2: total('wall'),
    undercutsMm2: total('undercut'),
    outerSidesMm2: total('outer-side'),
    places: KINDS.flatMap((kind) => places.filter((one) => one.kind === kind)).map((one, id) => ({
      id,
      ...one,
    })),
  };
}

const KINDS = ['wall', 'undercut', 'outer-side'] as const;

function patchesOf(surface: Surface, isMember: (f: number) => boolean, isCounted?: (f: number) => boolean) {
  const member = new Int32Array(surface.parent.length).map((_, f) => (isMember(f) ? 0 : -1));
  return connectedPatches(surface, member, isCounted);
}

/**
 * Whether each patch of undercut, with what is hidden under it, holds a moulding: most of its border with
 * surface that the tool sees, measured in plan, lies inside the part's outer silhouette. That of a side that
 * leans over is the silhouette itself, and a groove in an outer side borders on nothing that is seen.
 */
function heldPatches(
  { mesh: { positions, triangles }, topology: { twin }, normals }: Surface,
  classes: Uint8Array,
  patchOf: Int32Array,
  count: number,
  isOpen: (x: number, y: number) => boolean,
): boolean[] {
  const inside = new Float64Array(count);
  for (let h = 0; h < twin.length; h++) {
    const f = (h / 3) | 0,
      g = (twin[h] / 3) | 0;
    if (patchOf[f] < 0 || twin[h] < 0 || classes[g] >= MACHINABLE_CLASSES) continue;
    const a = 3 * triangles[h],
      b = 3 * triangles[nextCorner(h)];
    const dx = positions[b] - positions[a],
      dy = positions[b + 1] - positions[a + 1];
    const length = Math.sqrt(dx * dx + dy * dy);
    if (length === 0) continue;
    // Across the edge in plan, to the side that both facets look to.
    const look = [0, 1].map((k) =>
      [0, 3, 6].reduce((sum, c) => sum + normals[9 * f + c + k] + normals[9 * g + c + k], 0),
    );
    const beside = ((dy * look[0] - dx * look[1] < 0 ? -1 : 1) * BESIDE_MM) / length;
    const x = (positions[a] + positions[b]) / 2 + beside * dy,
      y = (positions[a + 1] + positions[b + 1]) / 2 - beside * dx;
    inside[patchOf[f]] += isOpen(x, y) ? -length : length;
  }
  return Array.from(inside, (length) => length > 0);
}

/** What keeps a moulding from leaving, if draft was asked about. */
export function releaseFindings(release: Plan['release']): Finding[] {
  if (release === null) return [];
  const { minDraftDeg, wallsMm2, undercutsMm2, outerSidesMm2, places } = release;
  const of = (kind: ReleasePlace['kind']) => places.filter((place) => place.kind === kind);
  const found = (code: string, kind: ReleasePlace['kind'], message: string): Finding[] => {
    const own = of(kind);
    return own.length === 0 ? [] : [finding(code, 'warning', message, own.length, own[0].centreMm)];
  };
  const outer =
    outerSidesMm2 > 0 ? `; ${digits(outerSidesMm2)} mm² of outer sides that lean over are not in it` : '';
  return [
    ...found(
      'release.draft',
      'wall',
      `${digits(wallsMm2)} mm² of wall have less than ${minDraftDeg}° of draft: a moulding drags there.`,
    ),
    ...found(
      'release.undercut',
      'undercut',
      `${digits(undercutsMm2)} mm² of undercut hold a moulding back: slides, lifters or another parting${outer}.`,
    ),
  ];
}
