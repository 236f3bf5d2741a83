import { byClass } from '../core/classes.js';
import { longestSide } from '../core/bounds.js';
import type { Finding } from '../core/findings.js';
import type { Source } from '../core/source.js';
import { OPTIONS } from '../options.js';
import type { DefectPlace } from '../part/defect-places.js';
import type { Plan } from '../plan/plan.js';
import type { PackedView } from './pack-view.js';
import { placeButton } from './place-button.js';
import { viewHtml } from './report-controls.js';
import {
  areaText,
  htmlTable,
  lengthText,
  numbers,
  pointText,
  shown,
  words as wordColumn,
} from './report-numbers.js';
import { TEXT } from './report-text.js';
import { cell, findingList, sceneData, sheetHtml, unitText } from './report.js';
import type { SceneFacts } from './scene-facts.js';
import { meshVerdict } from './summary.js';
import { xmlText } from './svg-text.js';

const words = TEXT.check,
  { cells, heads } = words;

/** What the report of a check tells. */
export interface CheckedMesh {
  readonly source: Source;
  readonly mesh: Plan['mesh'];
  readonly findings: readonly Finding[];
  readonly places: readonly DefectPlace[];
}

/** What is sound, and then one after the other the muted colours of Tol's note (see `class-colours.ts`). */
const SOUND = '#c9cfd4';
const COLOURS = [
  '#cc6677',
  '#332288',
  '#ddcc77',
  '#117733',
  '#88ccee',
  '#882255',
  '#44aa99',
  '#999933',
  '#aa4499',
];
/** What is shown round a place, as a share of the part. */
const ROUND_SHARE = 0.01;

/**
 * The report of a check: what was found, and where, in a view of the part. One HTML file that needs nothing else.
 *
 * @param view its regions: 0 where a facet is sound, else 1 + which of the codes it shows
 * @param codes of findings
 */
export function checkReportHtml(checked: CheckedMesh, view: PackedView, codes: readonly string[]): string {
  const { source, mesh, findings, places } = checked;
  const facts = checkFacts(checked, view, codes);
  return sheetHtml(
    words.documentTitle(source.name),
    `<main class="sheet" id="report">
${titleBlock(checked)}
<section><h2>${xmlText(`${TEXT.report.mesh}: ${meshVerdict(mesh, findings)}`)}</h2>
${findingList(findings)}</section>
<section><h2>${words.view}</h2>
${viewHtml(facts)}<p class="hint">${xmlText(words.note)}</p></section>
<section><h2>${words.places}</h2>
${places.length === 0 ? `<p>${words.noPlaces}</p>` : placesTable(places)}</section>
<p class="hint">${TEXT.report.private}</p>
${sceneData(facts, view)}
</main>`,
  );
}

function titleBlock({ source, mesh }: CheckedMesh): string {
  const size = mesh.boundsMm.max.map((high, k) => shown(high - mesh.boundsMm.min[k], 2)).join(' × ');
  return `<header class="block"><div class="name"><p class="kicker">${words.kicker}</p><h1>${xmlText(source.name)}</h1></div>
<dl class="cells">${[
    cell(TEXT.report.cells.size, `${size} mm`),
    cell(OPTIONS.unit.label, unitText(source)),
    cell(TEXT.report.cells.triangles, shown(mesh.triangles, 0)),
    cell(cells.vertices, shown(mesh.vertices, 0)),
    cell(cells.shells, shown(mesh.shells, 0)),
    cell(cells.open, shown(mesh.openEdges, 0)),
    cell(TEXT.report.cells.area, areaText(mesh.areaMm2)),
    cell(
      TEXT.report.cells.volume,
      mesh.volumeMm3 === null ? TEXT.report.notComputed : `${shown(mesh.volumeMm3, 0)} mm³`,
    ),
  ].join('')}</dl></header>`;
}

const moved = ([x, y, z]: readonly [number, number, number], by: number): [number, number, number] => [
  x + by,
  y + by,
  z + by,
];

/** Name of the i-th place. */
const placeName = (i: number): string => `P${i + 1}`;
/** `mesh.open-edges` as words. */
const kindWords = (code: string): string =>
  (words.kinds as Readonly<Record<string, string>>)[code.replace(/^mesh\./, '')] ?? code;

const sizeOf = ({ boundsMm: { min, max } }: DefectPlace): number =>
  Math.sqrt(min.reduce((sum, low, k) => sum + (max[k] - low) ** 2, 0));

const placesTable = (places: readonly DefectPlace[]): string =>
  htmlTable(words.placesCount(places.length), places, [
    wordColumn(heads.place, (_, i) => placeButton(placeName(i))),
    wordColumn(heads.what, ({ code }) => xmlText(kindWords(code))),
    wordColumn(heads.at, ({ centreMm }) => pointText(centreMm)),
    numbers(heads.size, (place) => (sizeOf(place) > 0 ? lengthText(sizeOf(place), 1) : '–')),
  ]);

function checkFacts({ mesh, places }: CheckedMesh, view: PackedView, codes: readonly string[]): SceneFacts {
  const { base64: _packed, ...counts } = view;
  const { min, max } = mesh.boundsMm;
  const roundMm = ROUND_SHARE * longestSide(mesh.boundsMm);
  const kinds = [
    { name: words.sound, colour: SOUND },
    ...codes.map((code, i) => ({ name: kindWords(code), colour: COLOURS[i % COLOURS.length] })),
  ];
  return {
    mesh: counts,
    boundsMm: { min: [...min], max: [...max] },
    modes: ['defect', 'angle'],
    kinds,
    classOfRegion: kinds.map(() => 'shallow'),
    places: Object.fromEntries(
      places.map(({ centreMm, boundsMm }, i) => [
        placeName(i),
        {
          centreMm,
          boundsMm: { min: moved(boundsMm.min, -roundMm), max: moved(boundsMm.max, roundMm) },
          reached: 0,
        },
      ]),
    ),
    // Nothing is machined in a check, and a point is read to a hundredth of the part.
    toleranceMm: roundMm,
    regions: [],
    radiiMm: [],
    stockMm: 0,
    split: { angleDeg: 45, overlapDeg: 0, words: { overlap: '', end: '', band: '' } },
    curve: [],
    classAreasMm2: byClass(() => 0),
    areas: { below: [], upTo: [] },
    cutters: [],
    passes: { cutterId: '' },
    finishers: [],
    ridges: { limitsMm: [], areasMm2: [] },
  };
}
