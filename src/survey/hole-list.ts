import { significant, digits } from '../core/figures.js';
import { finding, type Finding } from '../core/findings.js';
import { addToList } from '../core/lists.js';
import type { Cutter } from '../cutter/catalogue.js';
import { MACHINABLE_CLASSES } from '../core/classes.js';
import { facetNormals } from '../part/facet-normals.js';
import type { Plan } from '../plan/plan.js';
import type { Setup } from '../resolve-setup.js';
import type { Hole } from '../surface/holes.js';
import type { PassPlan } from '../time/pass-time.js';
import type { ZonedSurface } from '../zones/build-zones.js';
import { classOfLabel } from '../zones/mark-away.js';
import { minutesPerMm2 } from './even-minutes.js';
import { millsOf } from './floors-and-walls.js';
import { finishersOf } from './ladder-candidates.js';
import { inFullSteps, millPlans } from './mill-times.js';

type HoleEntry = Plan['holes'][number];

/** Widest round wall of a hole, mm; its chamfer is not asked. */
const widest = ({ steps }: Pick<Hole, 'steps'>): number =>
  Math.max(...steps.map(({ diameterMm }) => diameterMm));
const narrowest = ({ steps }: Pick<Hole, 'steps'>): number =>
  Math.min(...steps.map(({ diameterMm }) => diameterMm));

/** Whether the set-up leaves a hole to the drill. */
const isDrilled = (hole: Hole, { drilledUpToMm }: Setup): boolean => widest(hole) <= drilledUpToMm + 1e-3;

/** (F of the part) 1: not to be finished, for it is drilled, reamed or bored. */
export function drilledFacets(holes: readonly Hole[], setup: Setup, faces: number): Uint8Array {
  const drilled = new Uint8Array(faces);
  for (const hole of holes) if (isDrilled(hole, setup)) for (const f of hole.faces) drilled[f] = 1;
  return drilled;
}

/** Holes as the plan lists them: those that are alike once, with all places; large ones first. */
export function holeList(
  holes: readonly Hole[],
  { surface, labels }: Pick<ZonedSurface, 'surface' | 'labels'>,
  setup: Setup,
): HoleEntry[] {
  const holeOf = new Map(holes.flatMap((hole, i) => hole.faces.map((f) => [f, i] as const)));
  const { areas } = facetNormals(surface.mesh);
  const machinable = new Float64Array(holes.length);
  areas.forEach((area, f) => {
    const i = holeOf.get(surface.parent[f]);
    if (i !== undefined && classOfLabel(labels[f]) < MACHINABLE_CLASSES) machinable[i] += area;
  });
  const alike = new Map<string, number[]>();
  holes.forEach((hole, i) => addToList(alike, likeness(hole), i));
  // By what is told of them: what rounding leaves of equal diameters would decide before their depths.
  return [...alike.values()]
    .map((own) =>
      holeEntry(
        own.map((i) => holes[i]),
        own.reduce((sum, i) => sum + machinable[i], 0),
        setup,
      ),
    )
    .sort((a, b) => b.diameterMm - a.diameterMm || b.steps[0].depthMm - a.steps[0].depthMm)
    .map((entry, id) => ({ id, ...entry }));
}

/** Holes are alike when their drawing would say the same, to a hundredth of a millimetre. */
const likeness = ({ steps, isThrough, mouthDiameterMm }: Hole): string =>
  [isThrough, mouthDiameterMm ?? 0, ...steps.flatMap(({ diameterMm, depthMm }) => [diameterMm, depthMm])]
    .map((one) => (typeof one === 'number' ? one.toFixed(2) : one))
    .join();

/** Holes are told to a ten-thousandth of a millimetre: more is rounding of the file. */
const told = (mm: number): number => Number(mm.toFixed(4)) + 0;

function holeEntry(own: readonly Hole[], areaMm2: number, setup: Setup): Omit<HoleEntry, 'id'> {
  const [hole] = own,
    steps = hole.steps.map((step) => ({ diameterMm: told(step.diameterMm), depthMm: told(step.depthMm) })),
    [first] = steps,
    diameterMm = narrowest({ steps });
  return {
    count: own.length,
    kind: hole.isThrough ? 'through' : 'blind',
    diameterMm,
    depthMm: told(depthOf({ steps })),
    counterbore: first.diameterMm > diameterMm + 0.01 ? first : null,
    steps,
    mouthDiameterMm: hole.mouthDiameterMm === null ? null : told(hole.mouthDiameterMm),
    areaMm2,
    isDrilled: isDrilled(hole, setup),
    finishMinutes: finishMinutes(hole, own.length, areaMm2, setup),
    topsMm: own.map(({ x, y, top }): [number, number, number] => [told(x), told(y), told(top)]),
  };
}

/** A cutter goes round in a hole that is wider than it by this factor (common practice, no source). */
const ROOM_TO_GO_ROUND = 1.1;

/**
 * Roughly what finishing takes by the largest ball that goes round in it, or by the largest flat or bull-nose cutter if
 * the set-up leaves walls to such and that is quicker. Null where none does, or would have to stick out further than the
 * set-up allows: then the minutes do not hold them anyway.
 */
function finishMinutes({ steps }: Hole, count: number, areaMm2: number, setup: Setup): number | null {
  const mayRun = ({ DC }: Cutter): boolean =>
    ROOM_TO_GO_ROUND * DC <= narrowest({ steps }) && depthOf({ steps }) <= setup.mostLengthToDiameter * DC;
  const ball = finishersOf(setup.cutters).find(mayRun),
    // Where its shank does not follow no mill is sent; a ball is, and told to be too short.
    getsDown = ({ LU, DMM }: Cutter): boolean => depthOf({ steps }) <= LU || DMM <= narrowest({ steps }),
    mill = setup.walls === 'auto' ? millsOf(setup).find((one) => mayRun(one) && getsDown(one)) : undefined;
  // On its way the feed acts: shorter than the wall by the cutter's share of the diameter.
  const round = (cutter: Cutter, heightOf: (depthMm: number) => number): number =>
    steps.reduce((sum, one) => sum + Math.PI * (one.diameterMm - cutter.DC) * heightOf(one.depthMm), 0) *
    count;
  const wallsMm2 = steps.reduce((sum, one) => sum + Math.PI * one.diameterMm * one.depthMm, 0) * count,
    otherMm2 = Math.max(0, areaMm2 - wallsMm2);
  const ways: number[] = [];
  if (ball) ways.push((round(ball, (mm) => mm) + otherMm2) * minutesPerMm2(setup, ball));
  if (mill && (ball || setup.floors === 'auto')) {
    const { floor, wall } = millPlans(mill, setup);
    const perMm2 = ({ spacingMm, feedMmPerMin }: PassPlan): number =>
      setup.machine.timeFactor / (spacingMm * feedMmPerMin);
    const ofOther = ball && setup.floors === 'ball' ? minutesPerMm2(setup, ball) : perMm2(floor);
    ways.push(round(mill, (mm) => inFullSteps(mm, wall.spacingMm)) * perMm2(wall) + otherMm2 * ofOther);
  }
  return ways.length === 0 ? null : Math.min(...ways);
}

const depthOf = ({ steps }: Pick<Hole, 'steps'>): number =>
  steps.reduce((sum, step) => sum + step.depthMm, 0);

/** What holes left to the drill save, or would. */
export function holeFindings(
  holes: Plan['holes'],
  { drilledUpToMm }: Pick<Setup, 'drilledUpToMm'>,
): Finding[] {
  const own = holes.filter((hole) => hole.isDrilled);
  if (own.length === 0) return [];
  const minutes = own.reduce((sum, { finishMinutes: one }) => sum + (one ?? 0), 0),
    count = own.reduce((sum, hole) => sum + hole.count, 0);
  return [
    finding(
      'holes.drilled',
      'info',
      `Round upright holes up to ${significant(drilledUpToMm, 4)} mm are left to the drill and not finished here: ` +
        `roughly ${digits(minutes, 2)} min less, drilling not counted.`,
      count,
      own[0].topsMm[0],
    ),
  ];
}
