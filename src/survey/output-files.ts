import { perCorner, perFace, perVertex } from '../core/array-types.js';
import { CLASS_INDEX, type SurfaceClass } from '../core/classes.js';
import { NOT_ASKED } from '../fields/sample-reach.js';
import type { Clipper } from '../outlines/clipper.js';
import type { Rings } from '../outlines/ring-measures.js';
import { ringsOfRegion, traceRings, type TracedBorders } from '../outlines/trace-rings.js';
import type { Plan } from '../plan/plan.js';
import { angleAreas } from '../write/angle-areas.js';
import { colouredGlb } from '../write/coloured-glb.js';
import { cuttersCsv, zonesCsv } from '../write/csv.js';
import { planJson } from '../write/json.js';
import { packView } from '../write/pack-view.js';
import { reportHtml } from '../write/report.js';
import { classGroups, outlinesSvg, type OutlineGroup } from '../write/svg.js';
import { viewData } from '../write/view-data.js';
import { wallAngle } from '../zones/cut-angles.js';
import { classOfLabel } from '../zones/mark-away.js';
import { numberRegions, type NumberedRegions } from '../zones/number-regions.js';
import type { TightPatches } from '../zones/tight-patches.js';
import type { ReachAnalysis } from './analyse-reach.js';
import type { Ladder } from './choose-ladder.js';

/** Classes that other surface may cover in plan, the lowest last. */
const UNDERNEATH: readonly SurfaceClass[] = ['outside', 'undercut', 'hidden', 'underside'];

export interface OutputInput {
  readonly plan: Plan;
  readonly regions: NumberedRegions;
  readonly borders: TracedBorders;
  readonly reach: ReachAnalysis;
  /** (V of the refined surface) mm; Infinity: no limit; NaN: not asked */
  readonly reachRadii: Float64Array;
  readonly ladder: Ladder;
  readonly clipper: Clipper;
  /** (facets of the part) mm */
  readonly sagittas: Float32Array;
}

/** Every file of a survey, by name. */
export async function outputFiles(input: OutputInput): Promise<Map<string, Uint8Array | string>> {
  const { plan, reach } = input;
  const glb = await colouredGlb({
    surface: reach.surface,
    classOfFace: perFace(reach.labels.map(classOfLabel)),
    wallAngles: perCorner(cornerAngles(reach.surface.normals)),
    reachRadii: perVertex(input.reachRadii),
  }, plan.source.name);
  return new Map<string, Uint8Array | string>([
    ['plan.json', planJson(plan)],
    ['report.html', report(input)],
    ['outlines.svg', outlines(input)],
    ['part.glb', glb],
    ['zones.csv', zonesCsv(plan)],
    ['cutters.csv', cuttersCsv(plan)],
  ]);
}

function report({ plan, reach, sagittas }: OutputInput): string {
  const { surface, labels, areas, counts } = reach;
  // Numbered by class, area and place, the regions of the refined surface are those of the plan.
  const view = viewData({ surface, counts, sagittas, regions: numberRegions(surface, labels, areas) });
  return reportHtml({ plan, view: packView(view), areas: angleAreas(surface, labels) });
}

function cornerAngles(normals: Float64Array): Float64Array {
  const angles = new Float64Array(normals.length / 3);
  for (let i = 0; i < angles.length; i++) angles[i] = wallAngle(normals[3 * i], normals[3 * i + 1], normals[3 * i + 2]);
  return angles;
}

function outlines(input: OutputInput): string {
  const { plan, regions, borders, ladder } = input;
  const { min, max } = plan.mesh.boundsMm;
  const groups: OutlineGroup[] = [
    ...seenFromAbove(classGroups(borders.outlines, regions.classOf)),
    ...passGroups(input),
    ...patchGroup(`cutter-${ladder.finisher.id}`, `not reached by ${ladder.finisher.id}`, ladder.tight, input.clipper),
  ];
  if (ladder.balls[0].id !== ladder.finisher.id) {
    const title = `not reached by ${ladder.balls[0].id}, the smallest of the catalogue`;
    groups.push(...patchGroup(`cutter-${ladder.balls[0].id}`, title, ladder.leftover, input.clipper));
  }
  return outlinesSvg({
    title: `${plan.source.name}: outlines in plan`,
    description: `Classes at a split of ${plan.split.angleDeg} degrees with ${plan.split.overlapDeg} degrees of overlap; `
      + 'mm, looking down the tool axis.',
    boundsMm: { min: [min[0], min[1]], max: [max[0], max[1]] },
    groups,
  });
}

/** Classes in painting order: what lies underneath or is hidden first, what the tool sees over it. */
function seenFromAbove(groups: readonly OutlineGroup[]): OutlineGroup[] {
  const depth = ({ look }: OutlineGroup): number => UNDERNEATH.findIndex((cls) => cls === look);
  return [...groups].sort((a, b) => depth(b) - depth(a));
}

/** The two passes' regions: their classes united. */
function passGroups({ regions, borders, clipper }: OutputInput): OutlineGroup[] {
  const united = (classes: readonly number[]): Rings => {
    const rings = Array.from(regions.classOf, (cls, r) => (classes.includes(cls) ? ringsOfRegion(borders.outlines, r) : []));
    return clipper.resolve(rings.flat(), 'NonZero');
  };
  const group = (id: 'waterline' | 'raster', classes: readonly number[]): OutlineGroup[] => {
    const rings = united(classes);
    if (rings.length === 0) return [];
    return [{
      id: `pass-${id}`, title: `${id} pass`, look: id, shapes: [{ id: `pass-${id}-outline`, title: `${id} pass`, rings }],
    }];
  };
  const { level, shallow, overlap, steep } = CLASS_INDEX;
  return [...group('waterline', [overlap, steep]), ...group('raster', [level, shallow, overlap])];
}

function patchGroup(id: string, title: string, tight: TightPatches, clipper: Clipper): OutlineGroup[] {
  const { mesh, topology } = tight.surface;
  const { outlines: rings } = traceRings(mesh, topology, tight.patchOf, clipper);
  const shapes = [...new Set(rings.regionOfRing)].map((region) => ({
    id: `${id}-tight-${region}`, title: `tight region ${region}, ${title}`, rings: ringsOfRegion(rings, region),
  }));
  return shapes.length === 0 ? [] : [{ id, title, look: 'tight', shapes }];
}
