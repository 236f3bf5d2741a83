import { CLASS_INDEX, CLASSES, MACHINABLE_CLASSES } from '../core/classes.js';
import { tick, type Context } from '../core/context.js';
import type { Cover } from '../core/cover.js';
import { finding, type Finding } from '../core/findings.js';
import { facetCentre } from '../part/facet-geometry.js';
import { facetNormals } from '../part/facet-normals.js';
import { startSurface } from '../surface/surface-builder.js';
import type { SettledSurface } from '../part/settle-noise.js';
import type { Mesh, Surface, Topology } from '../part/types.js';
import { borderAngles, classifyByAngle, type ClassBorders } from './classify.js';
import { cutAngles } from './cut-angles.js';
import { growOverlap } from './grow-overlap.js';
import { markAway, markLeftOut } from './mark-away.js';
import { markBuried, type SolidProbes } from './mark-buried.js';
import { markHidden } from './mark-hidden.js';
import { markOutside, markUnderside } from './mark-outer.js';
import { mergeIslands } from './merge-islands.js';
import { settleUndercuts } from './settle-undercuts.js';
import { leastRegions, noiseFindings } from './noise-freckles.js';

export interface ZoneOptions extends ClassBorders {
  /**
   * the overlap reaches this far along the surface beyond the split, mm; null: it is the angle up to
   * `splitEndRad`
   */
  readonly overlapMm: number | null;
  /** count the outer sides of the block as steep */
  readonly includeOutside: boolean;
  /** connected regions smaller than this join their surroundings, mm²; 0: none do */
  readonly minRegionMm2: number;
  /** wall angles at which the surface is cut although no class ends there, radians */
  readonly alsoCutAt?: readonly number[];
  /** (F of the mesh) 1: not to be machined, as if work were limited to elsewhere */
  readonly leftOut?: Uint8Array;
  /** whether a point in plan lies where work is to be done; null: everywhere */
  readonly inside: ((x: number, y: number) => boolean) | null;
}

/** What is asked of the part as a whole, in plan, mm. */
export interface PlanProbes {
  /** height of the part's highest surface; -Infinity beside it */
  readonly topOver: (x: number, y: number) => number;
  /** of (9) corners: whether the part stands over them, higher by so much than they lie */
  readonly coverOver: (triangle: Float64Array, clearMm: number) => Cover;
  /** outside the part's outer silhouette */
  readonly isOpen: (x: number, y: number) => boolean;
  /** null: no two shells enclose anything */
  readonly solids: SolidProbes | null;
}

export interface ZonedSurface {
  readonly surface: Surface;
  /** (F) index in `CLASSES`, plus `AWAY` where work is limited to elsewhere */
  readonly labels: Uint8Array;
  readonly findings: readonly Finding[];
}

/** Cuts the part's surface at all class borders and gives each facet its class. */
export function buildZones(
  mesh: Mesh,
  topology: Topology,
  settled: SettledSurface,
  probes: PlanProbes,
  options: ZoneOptions,
  context: Context,
): ZonedSurface {
  const build = startSurface(mesh, topology, settled.normals);
  tick(context, 'classes', 0);
  // Two points, each of which may stray to its own side.
  const strayMm = 2 * settled.withinMm;
  cutAngles(build, borderAngles(options, options.alsoCutAt));
  tick(context, 'classes', 0.4);
  classifyByAngle(build, options);
  const buried = probes.solids ? markBuried(build, probes.solids) : [];
  markUnderside(build, strayMm);
  if (strayMm > 0) settleUndercuts(build, probes.topOver, strayMm);
  if (!options.includeOutside) markOutside(build, probes.isOpen);
  tick(context, 'classes', 0.6);
  markHidden(build, probes, strayMm);
  if (options.overlapMm !== null) growOverlap(build, options.splitRad, options.overlapMm);
  if (options.inside) markAway(build, options.inside);
  if (options.leftOut) markLeftOut(build, options.leftOut);
  tick(context, 'classes', 0.8);
  const { surface, labels } = build.finish();
  const mayMergeBelow = strayMm > 0 ? CLASSES.length : MACHINABLE_CLASSES;
  const merged = mergeIslands({
    mesh: surface.mesh,
    topology: surface.topology,
    classOf: labels,
    areas: facetNormals(surface.mesh).areas,
    mayMerge: (label) => label < mayMergeBelow,
    minRegionMm2: options.minRegionMm2,
    leastMm2: leastRegions(surface, labels, settled, options.minRegionMm2),
  });
  tick(context, 'classes', 1);
  return {
    surface,
    labels: merged.classOf,
    findings: [
      ...noiseFindings(surface, merged.classOf, settled, options),
      ...merged.findings,
      ...buried,
      ...undercutFindings(surface, merged.classOf),
    ],
  };
}

function undercutFindings(surface: Surface, labels: Uint8Array): Finding[] {
  const kinds = [
    [CLASS_INDEX.undercut, 'undercut', 'leans over: no cutter along this axis can touch it'],
    [
      CLASS_INDEX.hidden,
      'hidden',
      'faces the tool with part of the solid above it: no cutter along this axis gets there',
    ],
  ] as const;
  return kinds.flatMap(([index, name, meaning]): Finding[] => {
    const count = labels.reduce((sum, label) => sum + (label === index ? 1 : 0), 0);
    if (count === 0) return [];
    const f = labels.indexOf(index);
    return [
      finding(
        `zones.${name}`,
        'warning',
        `Surface that ${meaning}; it counts as ${name} and is left out of areas, passes and times.`,
        count,
        facetCentre(surface.mesh, f),
      ),
    ];
  });
}
