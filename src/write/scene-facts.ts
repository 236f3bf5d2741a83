import { byClass } from '../core/classes.js';
import type { DeepReadonly } from '../core/deep-readonly.js';
import type { Cutter } from '../cutter/catalogue.js';
import type { Plan } from '../plan/plan.js';
import type { AngleAreas } from './angle-areas.js';
import type { RidgeBands } from './ridge-bands.js';
import { overlapWords } from './overlap-words.js';
import { deepName, holeName, leftName, releaseName, restName, tightName } from './place-names.js';
import type { PackedView } from './pack-view.js';

/** What the view needs besides the packed surface; plain data, embedded in the report as JSON. */
export type SceneFacts = DeepReadonly<ReturnType<typeof sceneFacts>>;

/** What the surface may be coloured by. */
export const COLOUR_MODES = [
  'class',
  'angle',
  'reach',
  'gap',
  'finisher',
  'scallop',
  'stickout',
  'defect',
] as const;
export type ColourMode = (typeof COLOUR_MODES)[number];
const SURVEY_MODES: readonly ColourMode[] = COLOUR_MODES.filter((mode) => mode !== 'defect');

/** A kind of defect in the view. */
export interface Kind {
  readonly name: string;
  readonly colour: string;
}

/** Gathers it. */
export function sceneFacts(plan: Plan, mesh: PackedView, areas: AngleAreas, ridges: RidgeBands) {
  const { split, reach, setup } = plan;
  const { base64: _packed, ...counts } = mesh;
  const needs = (id: string | null): number => {
    const own = plan.ladder.find(({ cutterId }) => cutterId === id);
    // Of a bull-nose the radii tell nothing.
    const radiusOfBall = own && own.DC === 2 * own.RE ? own.RE : NaN;
    return 1 + reach.byRadius.findIndex(({ radiusMm }) => radiusMm === radiusOfBall);
  };
  const radius = (mm: number): number => Number(mm.toPrecision(9));
  return {
    mesh: counts,
    boundsMm: plan.mesh.boundsMm,
    modes: SURVEY_MODES,
    /** what regions stand for where they are defects of the mesh; none in a survey */
    kinds: [] as readonly Kind[],
    /** by the region's number */
    classOfRegion: plan.regions.map((region) => region.class),
    regions: plan.regions.map(({ id, areaMm2, boundsMm, cutterId, stickoutMm }) => ({
      id,
      areaMm2,
      boundsMm,
      cutterId,
      stickoutMm,
      /** how many of the radii must reach a place for that cutter to reach it */
      needs: needs(cutterId),
    })),
    /** the places of the tables by name, and how many of the radii must reach what is not meant there */
    places: placeFacts(plan, needs),
    /** ascending, mm, without the allowance */
    radiiMm: reach.byRadius.map(({ radiusMm }) => radiusMm),
    stockMm: setup.stockMm,
    toleranceMm: setup.toleranceMm,
    split: { angleDeg: split.angleDeg, overlapDeg: split.overlapDeg, words: overlapWords(plan, '°') },
    curve: split.curve,
    classAreasMm2: byClass((cls) => plan.classes[cls].areaMm2),
    areas: { below: areas.below.map(radius), upTo: areas.upTo.map(radius) },
    /** balls, the ladder's first; those of the reported radii where the catalogue has none */
    cutters: ballsShown(plan),
    passes: passFacts(plan),
    finishers: plan.ladder.map(({ cutterId, role, finishedAreaMm2 }) => ({
      cutterId,
      role,
      areaMm2: finishedAreaMm2,
      needs: needs(cutterId),
    })),
    ridges: { limitsMm: ridges.limitsMm, areasMm2: ridges.areasMm2.map(radius) },
  };
}

type BallFacts = Pick<Cutter, 'id' | 'DC' | 'RE' | 'LU'>;

function ballsShown({ setup, ladder, reach }: Plan): BallFacts[] {
  const balls = setup.cutters.filter(
    ({ DC, RE, taperHalfAngleDeg }) => Math.abs(RE - DC / 2) < 5e-4 && taperHalfAngleDeg === 0,
  );
  if (balls.length === 0) return reach.byRadius.map(({ radiusMm }) => reportedBall(radiusMm));
  const order = ladder.map(({ cutterId }) => cutterId);
  const rank = (id: string): number => (order.includes(id) ? order.indexOf(id) : order.length);
  return balls
    .sort((a, b) => rank(a.id) - rank(b.id) || b.RE - a.RE)
    .map(({ id, DC, RE, LU }) => ({ id, DC, RE, LU }));
}

/** Where a place is, and how many of the radii reach what lies beside it; 0: not told by radii. */
const placeFacts = (plan: Plan, needs: (id: string | null) => number) => {
  const { reach, ladder, passes, release, holes } = plan;
  const facts = ({ centreMm, boundsMm }: Located, reached: number) => ({ centreMm, boundsMm, reached });
  const first = needs(passes.cutterId);
  return Object.fromEntries([
    ...reach.tightRegions.map((place) => [tightName(place), facts(place, first)] as const),
    ...reach.leftover.map((place) => [leftName(place), facts(place, first)] as const),
    ...reach.tooDeep.map((place) => [deepName(place), facts(place, first)] as const),
    ...(release?.places ?? []).map((place) => [releaseName(place), facts(place, 0)] as const),
    ...holes.flatMap((hole) =>
      hole.topsMm.map(
        (centreMm, i) => [holeName(hole, i), facts({ centreMm, boundsMm: holeBounds(hole, i) }, 0)] as const,
      ),
    ),
    ...ladder.flatMap(({ restRegions }, i) =>
      restRegions.map(
        (place) => [restName(i + 1, place.id), facts(place, needs(ladder[i - 1]?.cutterId ?? null))] as const,
      ),
    ),
  ]);
};

/** The box round hole `i` of those that are alike. */
function holeBounds(
  { steps, mouthDiameterMm, depthMm, topsMm }: Plan['holes'][number],
  i: number,
): Located['boundsMm'] {
  const [x, y, z] = topsMm[i];
  const radius = Math.max(mouthDiameterMm ?? 0, ...steps.map(({ diameterMm }) => diameterMm)) / 2;
  return { min: [x - radius, y - radius, z - depthMm], max: [x + radius, y + radius, z] };
}

type Located = Pick<Plan['reach']['tightRegions'][number], 'centreMm' | 'boundsMm'>;

const passFacts = ({ passes: { cutterId } }: Plan) => ({ cutterId });

/** A ball of a reported radius, for a catalogue without any; drawn ten radii long. */
const reportedBall = (radiusMm: number): BallFacts => ({
  id: `R ${radiusMm} mm`,
  DC: 2 * radiusMm,
  RE: radiusMm,
  LU: 10 * radiusMm,
});
