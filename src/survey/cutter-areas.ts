import type { Finding } from '../core/findings.js';
import type { Cutter } from '../cutter/catalogue.js';
import type { Clipper } from '../outlines/clipper.js';
import { crumbLimits, dropCrumbs } from '../outlines/drop-crumbs.js';
import { cutterOutlines, offsetRings, OFFSET_DEFAULTS, type CutterOutlines } from '../outlines/offset.js';
import type { Rings } from '../outlines/ring-measures.js';
import { ringsOfRegion, traceRings } from '../outlines/trace-rings.js';
import type { Surface } from '../part/types.js';
import type { StageKind } from '../plan/plan.js';
import type { Setup } from '../resolve-setup.js';
import type { Curve } from '../write/coloured-glb.js';
import { curvesOf } from './border-curves.js';
import type { Ladder } from './choose-ladder.js';
import type { FloorsAndWalls } from './floors-and-walls.js';
import { PASSES } from './pass-grounds.js';
import type { PassOutlines } from './pass-outlines.js';
import type { RestWork } from './rest-work.js';
import type { EarlyStages } from './stages.js';

/** What one cutter is to cut in one stage, in plan, with the outlines that hold it there. */
export interface CutterArea {
  readonly cutter: Cutter;
  /** the stage; corners as `rest`: what it must clean after those before it */
  readonly work: Exclude<StageKind, 'corners'> | 'rest';
  readonly stockLeftMm: number;
  /** before finishing `contact` alone, where it takes stock away; of walls none: they have no width in plan */
  readonly outlines: CutterOutlines;
  /** its borders in space; of walls and rest only, since classes have theirs */
  readonly curves: readonly Curve[];
}

/** The areas of all stages, in order; an area that has neither rings nor curves is left out. */
export interface CutterAreas {
  readonly areas: readonly CutterArea[];
  /** what was left out of the rest between cutters */
  readonly findings: readonly Finding[];
}

export interface CutterAreasInput {
  readonly early: Pick<EarlyStages, 'stages' | 'block'>;
  readonly ladder: Pick<Ladder, 'rungs'>;
  /** of the finisher */
  readonly passes: PassOutlines;
  /** on which reach was computed, with its floors and walls */
  readonly surface: Surface;
  readonly on: FloorsAndWalls;
  readonly clipper: Clipper;
  readonly setup: Pick<Setup, 'runOutMm' | 'leastRingShare' | 'stockMm'>;
}

/** Smoothed rings are simplified within this share of the pitch. */
const STAIR_SHARE = 0.1;

/** What a stage's areas are called. */
export const workOf = (kind: StageKind): CutterArea['work'] => (kind === 'corners' ? 'rest' : kind);

/** Finds them. */
export function cutterAreas(input: CutterAreasInput): CutterAreas {
  const { early, ladder, passes, clipper, setup } = input,
    { runOutMm, stockMm } = setup;
  const findings: Finding[] = [];
  const before = early.stages.map(({ cutter, kind, stockLeftMm, rings }): CutterArea => {
    const contact = smoothed(rings.map((ring) => Float64Array.from(ring.flat())));
    return {
      cutter,
      work: workOf(kind),
      stockLeftMm,
      outlines: { contact, centre: [], runOut: [] },
      curves: [],
    };
  });
  const finishing = ladder.rungs.flatMap(({ cutter, role, rest, milled }, i): CutterArea[] => {
    const whole = (work: (typeof PASSES)[number] | 'floors') => ({ work, contact: passes[work], curves: [] });
    const contacts = [
      ...(role === 'passes' ? PASSES.map(whole) : []),
      ...(i === 0 && role === 'floors and walls' ? [whole('floors')] : []),
      { work: 'walls' as const, contact: [], curves: wallBorders(milled, input) },
      ...(rest === null ? [] : [{ work: 'rest' as const, ...restOf(cutter, rest) }]),
    ];
    return contacts.map(({ work, contact, curves }) => ({
      cutter,
      work,
      stockLeftMm: stockMm,
      curves,
      outlines: cutterOutlines(contact, cutter, clipper, { ...OFFSET_DEFAULTS, runOutMm }),
    }));
  });
  const areas = [...before, ...finishing].filter(
    ({ outlines, curves }) => outlines.contact.length > 0 || curves.length > 0,
  );
  return { areas, findings };

  /** Without the stairs of the height grid: closed and opened by its pitch. */
  function smoothed(rings: Rings): Rings {
    const { pitchMm } = early.block;
    return [1, -2, 1].reduce<Rings>(
      (some, pitches) => offsetRings(some, pitches * pitchMm, clipper, STAIR_SHARE * pitchMm),
      rings,
    );
  }

  function restOf(cutter: Cutter, rest: RestWork): Pick<CutterArea, 'curves'> & { readonly contact: Rings } {
    const { contact, curves } = bordersOf(rest.surface, rest.patchOf, clipper);
    const limits = crumbLimits(setup.leastRingShare, cutter);
    const worth = dropCrumbs(contact, `the rest of ${cutter.id}`, limits);
    findings.push(...worth.findings);
    // Without rings in plan the rest is crumbs, or upright.
    return { contact: worth.rings, curves: worth.rings.length > 0 ? curves : [] };
  }
}

/** Borders of the walls that a cutter of a ladder runs along. */
function wallBorders(
  milled: Ladder['rungs'][number]['milled'],
  { surface, on: { patches, patchOf }, clipper }: CutterAreasInput,
): readonly Curve[] {
  const walls = new Set(milled.map(({ patch }) => patch).filter((p) => patches[p].kind === 'wall'));
  if (walls.size === 0) return [];
  const isIn = patchOf.map((p) => (walls.has(p) ? 0 : -1));
  return bordersOf(surface, isIn, clipper).curves;
}

/** Borders of the patches of a surface: rings in plan and curves in space. @param patchOf (F) -1: none */
function bordersOf(
  { mesh, topology }: Surface,
  patchOf: Int32Array,
  clipper: Clipper,
): { readonly contact: Rings; readonly curves: readonly Curve[] } {
  const labels = patchOf.map((patch) => Math.min(patch, 0));
  const { outlines, curves } = traceRings(mesh, topology, labels, clipper);
  return { contact: ringsOfRegion(outlines, 0), curves: curvesOf(curves) };
}
