import { perCorner, perFace, perVertex } from '../core/array-types.js';
import type { ReachAnalysis } from './analyse-reach.js';
import { angleAreas } from '../write/angle-areas.js';
import { colouredGlb } from '../write/coloured-glb.js';
import {
  cuttersCsv,
  holesCsv,
  releaseCsv,
  waysUpCsv,
  notMilledCsv,
  operationsCsv,
  quoteCsv,
  unusedCsv,
  zonesCsv,
} from '../write/csv.js';
import { planJson } from '../write/json.js';
import { packView } from '../write/pack-view.js';
import { regionStl } from '../write/region-stl.js';
import { reportHtml } from '../write/report.js';
import type { ZonedSurface } from '../zones/build-zones.js';
import { cornerAngles } from '../zones/cut-angles.js';
import { classOfLabel } from '../zones/mark-away.js';
import { borderCurves } from './border-curves.js';
import type { CutterArea } from './cutter-areas.js';
import { placeSections } from './place-sections.js';
import { drawingFile } from './drawing-files.js';
import type { FinishingPasses } from './finishing-passes.js';
import { passesPreview } from './passes-preview.js';
import type { Picture } from './picture.js';
import { ladderQuote } from './plan-time.js';
import { areaCurves, outlinesDxfFile, outlinesSvgFile, type OutlineInput } from './outline-files.js';

export interface OutputInput extends OutlineInput {
  readonly cutterAreas: readonly CutterArea[];
  readonly laid: FinishingPasses['laid'];
  /** what the regions number */
  readonly zoned: Pick<ZonedSurface, 'surface'>;
  readonly reach: ReachAnalysis;
  readonly picture: Picture;
  /** (V of the refined surface) mm; Infinity: no limit; NaN: not asked */
  readonly reachRadii: Float64Array;
  /** (F of the refined surface) mm; Infinity: passes do not meet; NaN: none cuts there */
  readonly scallops: Float64Array;
  /** (F of the refined surface) classes, as away what flat and bull-nose cutters have been on */
  readonly ballLabels: Uint8Array;
}

/** Every file of a survey, by name. */
export async function outputFiles(input: OutputInput): Promise<Map<string, Uint8Array | string>> {
  const { plan, reach, regions, borders, ladder, cutterAreas: areas } = input;
  const ofBalls = { surface: reach.surface, labels: input.ballLabels };
  const curves = [...borderCurves(borders, regions), ...areaCurves(areas)];
  const angles = cornerAngles(reach.surface.normals);
  const glb = await colouredGlb(
    {
      surface: reach.surface,
      classOfFace: perFace(reach.labels.map(classOfLabel)),
      wallAngles: perCorner(angles),
      reachRadii: perVertex(input.reachRadii),
      scallopOfFace: perFace(input.scallops),
    },
    plan.source.name,
    curves,
  );
  const drawing = drawingFile(plan, 'A4');
  return new Map<string, Uint8Array | string>([
    ['plan.json', planJson(plan)],
    ['report.html', report(input, angles, drawing)],
    ['outlines.svg', outlinesSvgFile(input, areas)],
    ['outlines.dxf', await outlinesDxfFile(input, areas, curves)],
    ['drawing-a4.svg', drawing],
    ['drawing-a3.svg', drawingFile(plan, 'A3')],
    ['part.glb', glb],
    ['zones.csv', zonesCsv(plan)],
    ['cutters.csv', cuttersCsv(plan)],
    ['operations.csv', operationsCsv(plan)],
    ['cutters-not-used.csv', unusedCsv(plan)],
    ['not-milled.csv', notMilledCsv(plan)],
    ['ways-up.csv', waysUpCsv(plan)],
    ['holes.csv', holesCsv(plan)],
    ...(plan.release ? [['release.csv', releaseCsv(plan.release)] as const] : []),
    ['quote.csv', quoteCsv(ladderQuote(ladder, plan.setup))],
    ...(plan.setup.preview
      ? [['passes-preview.svg', passesPreview(plan, ofBalls, input.laid, input.passes)] as const]
      : []),
    ...(plan.setup.patches ? patchFiles(input) : []),
  ]);
}

/** The surface of each region as an STL of its own: `region-07-steep.stl`. */
function patchFiles({ plan, zoned, regions }: OutputInput): [string, Uint8Array][] {
  const digits = String(plan.regions.length - 1).length;
  return plan.regions.map(({ id, class: cls }) => {
    const name = `region-${String(id).padStart(digits, '0')}-${cls}`;
    return [
      `${name}.stl`,
      regionStl(zoned.surface.mesh, regions.regionOfFace, id, `${plan.source.name} ${name}`),
    ];
  });
}

function report(input: OutputInput, angles: Float64Array, drawing: string): string {
  const { plan, reach, picture } = input;
  return reportHtml({
    plan,
    view: packView(picture.view),
    areas: angleAreas(reach.areas, reach.labels, angles),
    ridges: picture.ridges,
    drawing,
    sections: placeSections(input),
  });
}
