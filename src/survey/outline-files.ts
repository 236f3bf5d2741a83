import { CLASSES, type SurfaceClass } from '../core/classes.js';
import { fitArcs } from '../outlines/fit-arcs.js';
import type { Clipper } from '../outlines/clipper.js';
import type { CutterOutlines } from '../outlines/offset.js';
import { ringArea, type Rings } from '../outlines/ring-measures.js';
import { ringsOfRegion, traceRings, type TracedBorders } from '../outlines/trace-rings.js';
import type { Plan } from '../plan/plan.js';
import type { NamedCurves } from '../write/coloured-glb.js';
import { outlinesDxf, type DxfLayer } from '../write/dxf.js';
import { leftName, tightName } from '../write/place-names.js';
import { classGroups, outlinesSvg, type OutlineGroup, type OutlineLook } from '../write/svg.js';
import type { NumberedRegions } from '../zones/number-regions.js';
import type { TightPatches } from '../reach/tight-patches.js';
import type { Ladder } from './choose-ladder.js';
import type { CutterArea } from './cutter-areas.js';
import type { PassOutlines } from './pass-outlines.js';

export interface OutlineInput {
  readonly plan: Plan;
  readonly regions: NumberedRegions;
  readonly borders: TracedBorders;
  readonly passes: PassOutlines;
  readonly ladder: Ladder;
  readonly clipper: Clipper;
}

/** Classes that other surface may cover in plan, the lowest last. */
const UNDERNEATH: readonly OutlineLook[] = ['outside', 'undercut', 'hidden', 'underside'];
/** The outlines of a cutter, in the order in which files list them. */
const KINDS = ['contact', 'centre', 'runOut'] as const satisfies readonly (keyof CutterOutlines)[];
type Kind = (typeof KINDS)[number];
const KIND_WORDS = { contact: 'contact', centre: 'centre', runOut: 'run-out' } as const;
/** What an outline is for, written beside it. */
const USES = {
  taken: 'border of what the cutter takes off the stock',
  along: 'border of the walls along which the cutter runs',
  contact: 'border of the surface that the cutter is to touch',
  centre: 'for the axis of the cutter: inside it the whole cutter stays inside the region',
  runOut: 'for the axis of the cutter: on it the whole cutter has left the region',
} as const;
/** Colours of DXF's fixed table: classes apart, then passes and cutters. */
const CLASS_DXF_COLOURS: Readonly<Record<SurfaceClass, number>> = {
  level: 3,
  shallow: 2,
  overlap: 4,
  steep: 5,
  undercut: 8,
  hidden: 8,
  underside: 9,
  outside: 9,
};
const DXF_COLOURS = { contact: 7, centre: 1, runOut: 6, border: 30 } as const;

/** `outlines.svg`: classes, passes, tight regions, and the outlines of each cutter, these not displayed. */
export function outlinesSvgFile(input: OutlineInput, areas: readonly CutterArea[]): string {
  const { plan, regions, borders, ladder, clipper } = input;
  const { min, max } = plan.mesh.boundsMm;
  const groups: OutlineGroup[] = [
    ...seenFromAbove(classGroups(borders.outlines, regions.classOf)),
    ...passGroups(input.passes),
    ...patchGroup(
      `cutter-${ladder.finisher.id}`,
      `not reached by ${ladder.finisher.id}`,
      'tight',
      ladder.tight,
      clipper,
    ),
    ...(ladder.last.id === ladder.finisher.id
      ? []
      : patchGroup(
          `cutter-${ladder.last.id}`,
          `not reached by ${ladder.isNested ? ladder.last.id : 'any cutter'}`,
          'left',
          ladder.leftover,
          clipper,
        )),
    ...areas.flatMap(areaGroups),
  ];
  return outlinesSvg({
    title: `${plan.source.name}: outlines in plan`,
    description:
      `Classes at a split of ${plan.split.angleDeg} degrees with ${overlapWords(plan)} of overlap; ` +
      'mm, looking down the tool axis. Groups that are not displayed hold, for each cutter, the outline of the surface ' +
      'to touch (contact), of the cutter axis inside it (centre), and grown until the cutter has left it (run-out).',
    boundsMm: { min: [min[0], min[1]], max: [max[0], max[1]] },
    groups,
  });
}

const overlapWords = ({ setup, split }: Plan): string =>
  setup.overlapMm === null ? `${split.overlapDeg} degrees` : `${setup.overlapMm} mm along the surface`;

/** Classes in painting order: what lies underneath or is hidden first, what the tool sees over it. */
function seenFromAbove(groups: readonly OutlineGroup[]): OutlineGroup[] {
  const depth = ({ look }: OutlineGroup): number => UNDERNEATH.indexOf(look);
  return [...groups].sort((a, b) => depth(b) - depth(a));
}

/** Raster first: the waterline's narrow line goes over its wide one. */
function passGroups(passes: PassOutlines): OutlineGroup[] {
  return (['raster', 'constant', 'waterline'] as const)
    .filter((id) => passes[id].length > 0)
    .map((id) => {
      const title = id === 'constant' ? 'pass at constant spacing' : `${id} pass`;
      return {
        id: `pass-${id}`,
        title,
        look: id,
        shapes: [{ id: `pass-${id}-outline`, title, rings: passes[id], use: USES.contact }],
      };
    });
}

function patchGroup(
  id: string,
  title: string,
  look: 'tight' | 'left',
  tight: TightPatches,
  clipper: Clipper,
): OutlineGroup[] {
  const { mesh, topology } = tight.surface;
  const { outlines: rings } = traceRings(mesh, topology, tight.patchOf, clipper);
  const nameOf = look === 'tight' ? tightName : leftName;
  const shapes = [...new Set(rings.regionOfRing)].map((region) => ({
    id: `${id}-tight-${region}`,
    title: `${nameOf({ id: region })}, ${title}`,
    rings: ringsOfRegion(rings, region),
  }));
  return shapes.length === 0 ? [] : [{ id, title, look, shapes }];
}

/** What an outline of a stage is for, and which stage that is. */
function useOf({ cutter: { id, DC, RE }, work, outlines, stockLeftMm }: CutterArea, kind: Kind): string {
  const isEarly = outlines.contact.length > 0 && outlines.runOut.length === 0;
  const use = USES[work === 'walls' ? 'along' : isEarly ? 'taken' : kind];
  return `${use}; ${work} with ${id}, DC ${DC} mm, RE ${RE} mm, leaves ${stockLeftMm} mm`;
}

/** Borders in space of what stages cut, those of a class's region left out. */
export const areaCurves = (areas: readonly CutterArea[]): NamedCurves[] =>
  areas
    .filter(({ curves }) => curves.length > 0)
    .map((area) => ({
      name: `${area.work} ${area.cutter.id}`,
      curves: area.curves,
      use: useOf(area, 'contact'),
    }));

function areaGroups(area: CutterArea): OutlineGroup[] {
  const { cutter, work, outlines } = area;
  if (work === 'walls') {
    const id = `cutter-${cutter.id}-walls`,
      title = `walls along which ${cutter.id} runs`;
    const rings = area.curves.map(({ points }) => points.filter((_, i) => i % 3 < 2));
    const shape = { id: `${id}-outline`, title, rings, isLine: true, use: useOf(area, 'contact') };
    return [{ id, title, look: 'contact', hidden: true, shapes: [shape] }];
  }
  return KINDS.filter((kind) => outlines[kind].length > 0).map((kind) => {
    const id = `cutter-${cutter.id}-${work}-${KIND_WORDS[kind]}`;
    const title = `${KIND_WORDS[kind]} outline of ${cutter.id}, ${work}`;
    return {
      id,
      title,
      look: kind,
      hidden: true,
      shapes: [{ id: `${id}-outline`, title, rings: outlines[kind], use: useOf(area, kind) }],
    };
  });
}

/** `outlines.dxf`: layers of classes, of cutters' outlines in lines and arcs, and of the borders in space. */
export function outlinesDxfFile(
  { regions, borders }: OutlineInput,
  areas: readonly CutterArea[],
  curves: readonly NamedCurves[],
): Promise<string> {
  const layer = (name: string, colour: number, rings: Rings, use: string): DxfLayer[] =>
    rings.length === 0
      ? []
      : [{ name, colour, outlines: rings.map((ring) => outlineOf(ring, use)), curves: [] }];
  return outlinesDxf([
    ...CLASSES.flatMap((cls, index) =>
      layer(
        cls,
        CLASS_DXF_COLOURS[cls],
        [...regions.classOf].flatMap((own, r) => (own === index ? ringsOfRegion(borders.outlines, r) : [])),
        `class ${cls}`,
      ),
    ),
    ...areas.flatMap((area) =>
      KINDS.flatMap((kind) =>
        layer(
          `${area.cutter.id} ${area.work} ${KIND_WORDS[kind]}`,
          DXF_COLOURS[kind],
          area.outlines[kind],
          useOf(area, kind),
        ),
      ),
    ),
    ...curves.map(({ name, curves: own, use }) => ({
      name,
      colour: DXF_COLOURS.border,
      outlines: [],
      curves: own,
      ...(use === undefined ? {} : { use }),
    })),
  ]);
}

/** A ring as lines and arcs, with what it is for and on which side of it the work lies. */
const outlineOf = (ring: Float64Array, use: string): DxfLayer['outlines'][number] => ({
  ...fitArcs(ring),
  use: `${use}; work ${ringArea(ring) > 0 ? 'inside' : 'outside'}`,
});
