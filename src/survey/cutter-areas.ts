import type { Finding } from '../core/findings.js';
import type { Cutter } from '../cutter/catalogue.js';
import type { Clipper } from '../outlines/clipper.js';
import { crumbLimits, dropCrumbs } from '../outlines/drop-crumbs.js';
import { cutterOutlines, OFFSET_DEFAULTS, type CutterOutlines } from '../outlines/offset.js';
import type { Rings } from '../outlines/ring-measures.js';
import { ringsOfRegion, traceRings } from '../outlines/trace-rings.js';
import type { Setup } from '../resolve-setup.js';
import type { Curve } from '../write/coloured-glb.js';
import { curvesOf } from './border-curves.js';
import type { Ladder } from './choose-ladder.js';
import type { PassOutlines } from './pass-outlines.js';
import type { RestWork } from './rest-work.js';

/** What one cutter of the ladder is to cut, in plan, with the outlines that hold it there. */
export interface CutterArea {
  readonly cutter: Cutter;
  /**
   * `waterline` and `raster` of the finishing cutter, `floors` of flat and bull-nose ones; `rest`: what it must clean
   * after those before it
   */
  readonly work: 'floors' | 'waterline' | 'raster' | 'rest';
  readonly outlines: CutterOutlines;
  /** its borders in space; of rest only, since classes have theirs */
  readonly curves: readonly Curve[];
}

/** The areas of all cutters of a ladder, in order of use; an area with nothing in plan is left out. */
export interface CutterAreas {
  readonly areas: readonly CutterArea[];
  /** what was left out of the rest between cutters */
  readonly findings: readonly Finding[];
}

/** Finds them. @param passes of the finisher */
export function cutterAreas(
  { rungs }: Pick<Ladder, 'rungs'>,
  passes: PassOutlines,
  clipper: Clipper,
  { runOutMm, leastRingShare }: Pick<Setup, 'runOutMm' | 'leastRingShare'>,
): CutterAreas {
  const findings: Finding[] = [];
  const areas = rungs.flatMap(({ cutter, role, rest }, i): CutterArea[] => {
    const whole = (work: 'floors' | 'waterline' | 'raster') => ({ work, contact: passes[work], curves: [] });
    const contacts = [
      ...(role === 'passes' ? [whole('waterline'), whole('raster')] : []),
      ...(i === 0 && role === 'floors and walls' ? [whole('floors')] : []),
      ...(rest === null ? [] : [{ work: 'rest' as const, ...restOf(cutter, rest) }]),
    ];
    return contacts
      .filter(({ contact }) => contact.length > 0)
      .map(({ work, contact, curves }) => ({
        cutter,
        work,
        curves,
        outlines: cutterOutlines(contact, cutter, clipper, { ...OFFSET_DEFAULTS, runOutMm }),
      }));
  });
  return { areas, findings };

  function restOf(cutter: Cutter, rest: RestWork): Pick<CutterArea, 'curves'> & { readonly contact: Rings } {
    const { contact, curves } = restBorders(rest, clipper);
    const worth = dropCrumbs(contact, `the rest of ${cutter.id}`, crumbLimits(leastRingShare, cutter));
    findings.push(...worth.findings);
    return { contact: worth.rings, curves };
  }
}

/** Where rest is to be cleaned: rings in plan and curves in space. */
function restBorders(
  { surface, patchOf }: RestWork,
  clipper: Clipper,
): { readonly contact: Rings; readonly curves: readonly Curve[] } {
  const { outlines, curves } = traceRings(
    surface.mesh,
    surface.topology,
    patchOf.map((patch) => Math.min(patch, 0)),
    clipper,
  );
  return { contact: ringsOfRegion(outlines, 0), curves: curvesOf(curves) };
}
