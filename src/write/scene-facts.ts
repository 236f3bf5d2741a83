import type { SurfaceClass } from '../core/classes.js';
import type { Plan } from '../plan/plan.js';
import type { AngleAreas } from './angle-areas.js';
import { overlapWords, type OverlapWords } from './overlap-words.js';
import type { PackedView } from './pack-view.js';

/** What the view needs besides the packed surface; plain data, embedded in the report as JSON. */
export interface SceneFacts {
  readonly mesh: Omit<PackedView, 'base64'>;
  readonly boundsMm: Plan['mesh']['boundsMm'];
  /** class of each region, by its number */
  readonly classOfRegion: readonly SurfaceClass[];
  readonly regions: readonly (Pick<
    Plan['regions'][number],
    'id' | 'areaMm2' | 'boundsMm' | 'cutterId' | 'stickoutMm'
  > & {
    /** how many of the radii must reach a place for that cutter to reach it */
    readonly needs: number;
  })[];
  readonly tight: readonly Pick<
    Plan['reach']['tightRegions'][number],
    'id' | 'centreMm' | 'boundsMm' | 'reachRadiusMm'
  >[];
  /** ascending, mm, without the allowance */
  readonly radiiMm: readonly number[];
  readonly stockMm: number;
  readonly toleranceMm: number;
  readonly split: { readonly angleDeg: number; readonly overlapDeg: number; readonly words: OverlapWords };
  readonly curve: Plan['split']['curve'];
  readonly classAreasMm2: Readonly<Record<SurfaceClass, number>>;
  readonly areas: AngleAreas;
  /** balls, the ladder's first; those of the reported radii where the catalogue has none */
  readonly cutters: readonly {
    readonly id: string;
    readonly DC: number;
    readonly RE: number;
    readonly LU: number;
  }[];
  readonly passes: {
    readonly stepdownMm: number;
    readonly stepoverMm: number;
    readonly directionDeg: number;
    readonly RE: number;
    readonly cutterId: string;
  };
}

/** Gathers them. */
export function sceneFacts(plan: Plan, mesh: PackedView, areas: AngleAreas): SceneFacts {
  const { split, reach, setup } = plan;
  const { base64: _packed, ...counts } = mesh;
  const needs = (id: string | null): number => {
    const own = plan.ladder.find(({ cutterId }) => cutterId === id);
    return 1 + reach.byRadius.findIndex(({ radiusMm }) => radiusMm === own?.RE);
  };
  const radius = (mm: number): number => Number(mm.toPrecision(9));
  return {
    mesh: counts,
    boundsMm: plan.mesh.boundsMm,
    classOfRegion: plan.regions.map((region) => region.class),
    regions: plan.regions.map(({ id, areaMm2, boundsMm, cutterId, stickoutMm }) => ({
      id,
      areaMm2,
      boundsMm,
      cutterId,
      stickoutMm,
      needs: needs(cutterId),
    })),
    tight: reach.tightRegions.map(({ id, centreMm, boundsMm, reachRadiusMm }) => ({
      id,
      centreMm,
      boundsMm,
      reachRadiusMm,
    })),
    radiiMm: reach.byRadius.map(({ radiusMm }) => radiusMm),
    stockMm: setup.stockMm,
    toleranceMm: setup.toleranceMm,
    split: { angleDeg: split.angleDeg, overlapDeg: split.overlapDeg, words: overlapWords(plan, '°') },
    curve: split.curve,
    classAreasMm2: classAreas(plan),
    areas: { below: areas.below.map(radius), upTo: areas.upTo.map(radius) },
    cutters: ballsShown(plan),
    passes: passFacts(plan),
  };
}

const classAreas = ({ classes }: Plan): SceneFacts['classAreasMm2'] => ({
  level: classes.level.areaMm2,
  shallow: classes.shallow.areaMm2,
  overlap: classes.overlap.areaMm2,
  steep: classes.steep.areaMm2,
  undercut: classes.undercut.areaMm2,
  hidden: classes.hidden.areaMm2,
  underside: classes.underside.areaMm2,
  outside: classes.outside.areaMm2,
});

function ballsShown({ setup, ladder, reach }: Plan): SceneFacts['cutters'] {
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

const passFacts = ({ passes, ladder }: Plan): SceneFacts['passes'] => ({
  stepdownMm: passes.waterline.spacingMm,
  stepoverMm: passes.raster.spacingMm,
  directionDeg: passes.raster.directionDeg,
  RE: ladder[0]?.RE ?? 0,
  cutterId: ladder[0]?.cutterId ?? '',
});

/** A ball of a reported radius, for a catalogue without any; drawn ten radii long. */
const reportedBall = (radiusMm: number): SceneFacts['cutters'][number] => ({
  id: `R ${radiusMm} mm`,
  DC: 2 * radiusMm,
  RE: radiusMm,
  LU: 10 * radiusMm,
});
