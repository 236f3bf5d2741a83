import { STYLE_HASH, VIEWER_HASH, VIEWER_SCRIPT } from '#viewer-script';
import { digits } from '../core/figures.js';
import type { Finding } from '../core/findings.js';
import type { Source } from '../core/source.js';
import { OPTIONS } from '../options.js';
import type { NotMilled, Plan } from '../plan/plan.js';
import type { AngleAreas } from './angle-areas.js';
import { keyPatterns } from './key-patterns.js';
import { overlapWords } from './overlap-words.js';
import type { PackedView } from './pack-view.js';
import { roundedForFile } from './number.js';
import { viewHtml } from './report-controls.js';
import { chartsHtml } from './report-figures.js';
import {
  areaText,
  lengthText,
  minutesText,
  pointText,
  radiusText,
  shown,
  wrappable,
} from './report-numbers.js';
import { REPORT_STYLE } from './report-style.js';
import { notMilledHtml } from './not-milled.js';
import { tightestPlace, tightName } from './place-names.js';
import { placeButton } from './place-button.js';
import { classTable, ladderTable, passTable, reachTable, regionTable } from './report-tables.js';
import type { PlaceSection } from './place-pictures.js';
import { tightTable } from './place-tables.js';
import { restTable } from './rest-table.js';
import type { RidgeBands } from './ridge-bands.js';
import { TEXT } from './report-text.js';
import { sceneFacts, type SceneFacts } from './scene-facts.js';
import { meshVerdict } from './summary.js';
import { operationsHtml } from './operations.js';
import { hasPasses } from './step-words.js';
import { xmlText } from './svg-text.js';
import { holesTable } from './holes.js';
import { releaseTable } from './release.js';
import { waysTable } from './ways-up.js';
import { workTable } from './work-table.js';
import { choiceHtml } from './why-not.js';
import { wearWords } from './wear-words.js';

const words = TEXT.report,
  { cells } = words;

export interface ReportInput {
  readonly plan: Plan;
  readonly view: PackedView;
  readonly areas: AngleAreas;
  readonly ridges: RidgeBands;
  /** SVG of the plan */
  readonly drawing: string;
  /** of what is not milled */
  readonly sections: readonly PlaceSection[];
}

/** The report: answers first, evidence below. */
export const reportHtml = (input: ReportInput): string =>
  sheetHtml(words.documentTitle(input.plan.source.name), reportBody(input));

/**
 * One HTML file that needs nothing else, with what brings a view in it to life. Its policy lets it load and send
 * nothing; scripts and style are admitted by their hashes.
 *
 * @param body HTML
 */
export function sheetHtml(title: string, body: string): string {
  const policy =
    `default-src 'none'; script-src '${VIEWER_HASH}'; style-src '${STYLE_HASH}'; img-src data: blob:; ` +
    "base-uri 'none'; form-action 'none'";
  return `<!doctype html>
<html lang="${TEXT.language}"><head><meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${policy}">
<meta name="viewport" content="width=device-width,initial-scale=1"><meta name="referrer" content="no-referrer">
<title>${xmlText(title)}</title>
<style>${REPORT_STYLE}</style></head>
<body>${body}
<script>${VIEWER_SCRIPT}</script></body></html>
`;
}

/** What stands between the body's tags. */
function reportBody({ plan, view, areas, ridges, drawing, sections }: ReportInput): string {
  const facts = sceneFacts(plan, view, areas, ridges);
  const titles: string[] = [];
  const section = (title: string, content: string, cls = ''): string => {
    const number = titles.push(title);
    return `<section id="s-${number}"${cls === '' ? '' : ` class="${cls}"`}><h2><span>${number}</span>${xmlText(title)}</h2>\n${content}</section>`;
  };
  const body = `<div class="front">${section(words.answers, `${answers(plan)}${ladderTable(plan)}`)}
${section(words.part, viewHtml(facts))}</div>
${section(words.cautions, `<ul class="cautions">${plan.cautions.map((text) => `<li>${xmlText(text)}</li>`).join('')}</ul>`)}
${section(
  words.surface,
  `${classTable(plan)}${passTable(plan)}${workTable(plan)}${holesTable(plan)}${releaseTable(plan)}${waysTable(plan)}
<details class="no-print"><summary>${words.regionsCount(plan.regions.length)}</summary>${regionTable(plan)}</details>`,
)}
${section(words.charts, chartsHtml(plan, areas))}
${section(words.operations.title, operationsHtml(plan))}
${section(words.reach, reachSection(plan))}
${section(words.notMilled.title, notMilledHtml(plan, sections))}
${section(words.findings, findingList(plan.findings))}
${section(words.setup, setupCells(plan), 'setup')}
${section(words.drawing, `<div class="drawing" tabindex="0" role="group" aria-label="${words.drawing}">${drawing.replace(/^<\?xml[^>]*>\s*/, '')}</div>`, 'plan-sheet')}
${section(words.choice.title, choiceHtml(plan), 'no-print')}`;
  return `<main class="sheet" id="report">
${titleBlock(plan)}
${contents(titles)}
${body}
<p class="hint no-print">${words.private}</p>
${keyPatterns()}
${sceneData(facts, view)}
</main>`;
}

/** What the viewer reads. */
export const sceneData = (facts: SceneFacts, view: PackedView): string =>
  `<script type="application/json" id="scene-facts">${embeddedJson(facts)}</script>
<script type="text/plain" id="packed-view">${view.base64}</script>`;

/** Links to the sections, by their numbers. */
const contents = (titles: readonly string[]): string =>
  `<nav class="contents no-print" aria-label="${words.contents}">${titles
    .map((title, i) => `<a href="#s-${i + 1}">${i + 1} ${xmlText(title)}</a>`)
    .join('')}</nav>`;

export const cell = (name: string, value: string, cls = ''): string =>
  `<div${cls === '' ? '' : ` class="${cls}"`}><dt>${xmlText(name)}</dt><dd>${wrappable(value)}</dd></div>`;

function titleBlock({ source, mesh, setup }: Plan): string {
  const size = mesh.boundsMm.max.map((high, k) => shown(high - mesh.boundsMm.min[k], 2)).join(' × ');
  return `<header class="block"><div class="name"><p class="kicker">${words.kicker}</p><h1>${xmlText(source.name)}</h1></div>
<dl class="cells">${[
    cell(cells.size, `${size} mm`),
    cell(cells.triangles, shown(source.triangles, 0)),
    cell(OPTIONS.unit.label, unitText(source)),
    cell(OPTIONS.material.label, `${OPTIONS.material.unit} ${setup.material}`),
    cell(cells.area, areaText(mesh.areaMm2)),
    cell(cells.volume, mesh.volumeMm3 === null ? words.notComputed : `${shown(mesh.volumeMm3, 0)} mm³`),
  ].join('')}</dl></header>`;
}

export function unitText({ unit, unitFrom }: Source): string {
  if (unitFrom === 'guess') return cells.unitGuessed(unit);
  return unitFrom === 'default' ? cells.unitTaken(unit) : unit;
}

/** @param lead HTML before the note */
const answer = (name: string, value: string, note: string, lead = ''): string =>
  `<div><dt>${xmlText(name)}</dt><dd><strong>${wrappable(value)}</strong><small>${lead}${wrappable(note)}</small></dd></div>`;

function answers(plan: Plan): string {
  return `<dl class="answers">${[...workAnswers(plan), ...placeAnswers(plan), ...sheetAnswers(plan)].join('')}</dl>`;
}

/** Minutes, split, cutters. */
function workAnswers(plan: Plan): string[] {
  const { time, split, ladder, passes } = plan;
  const others = ladder
    .slice(1)
    .map(({ cutterId }) => cutterId)
    .join(', ');
  return [
    answer(
      words.total,
      minutesText(time.totalMinutes),
      words.withSetUp(
        shown(time.lowMinutes, 1),
        minutesText(time.highMinutes),
        minutesText(time.totalMinutes + time.setUpMinutes),
      ),
    ),
    answer(
      words.split,
      `${shown(split.angleDeg, 1)}° + ${overlapWords(plan, '°').overlap}`,
      hasPasses({ passes })
        ? words.passAreas(
            areaText(passes.waterline.areaMm2),
            areaText(passes.raster.areaMm2),
            passes.constant.areaMm2 > 0 ? areaText(passes.constant.areaMm2) : null,
          )
        : words.noPasses,
    ),
    answer(
      words.first,
      ladder[0]?.cutterId ?? words.none,
      others === '' ? words.noOther : words.thenOthers(others),
    ),
  ];
}

/** What is tight, and what is left. */
function placeAnswers({ reach, passes, notMilled }: Plan): string[] {
  const tightest = tightestPlace(reach);
  const areaOf = (kind?: NotMilled['kind']): number =>
    notMilled.reduce((sum, place) => sum + (place.kind === (kind ?? place.kind) ? place.areaMm2 : 0), 0);
  const kinds = [...new Set(notMilled.map(({ kind }) => kind))].map(
    (kind) => `${words.notMilled.kinds[kind]} ${areaText(areaOf(kind))}`,
  );
  const isAll = notMilled.length === 0;
  return [
    answer(
      words.tightest,
      radiusText(reach.smallestRadiusMm),
      words.leaves(reach.tightRegions.length, passes.cutterId),
      tightest === null
        ? ''
        : `${placeButton(tightName(tightest))} ${words.where(1, pointText(tightest.centreMm))}; `,
    ),
    answer(
      words.notMilled.tile,
      isAll ? words.nothing : areaText(areaOf()),
      isAll ? words.nothingLeft : words.leftPlaces(notMilled.length, kinds.join(', ')),
    ),
  ];
}

/** Cost, mesh, findings. */
function sheetAnswers(plan: Plan): string[] {
  const { time, mesh, findings, setup } = plan;
  return [
    answer(
      words.costName,
      time.cost === null ? words.notComputed : `${digits(time.cost)} ${time.currency}`.trim(),
      words.cost(shown(setup.machine.hourlyRate, 2), shown(time.setUpMinutes, 1), wearWords(plan)),
    ),
    answer(
      words.mesh,
      meshVerdict(mesh, findings).replace(/ \(.*/, ''),
      `${mesh.closed ? words.closed : words.openEdges(mesh.openEdges)}, ${words.shells(mesh.shells)}`,
    ),
    answer(
      words.findings,
      `${findings.filter(({ severity }) => severity !== 'info').length}`,
      words.findingsNote,
    ),
  ];
}

function reachSection(plan: Plan): string {
  const { tightRegions } = plan.reach;
  return `<div class="two uneven"><div>${tightTable(words.notReachedBy(plan.passes.cutterId), tightRegions, tightName)}</div>
<div class="no-print">${reachTable(plan)}</div></div>${restTable(plan)}`;
}

/** What paper has room for. */
const PRINTED_FINDINGS = 6;

export function findingList(findings: readonly Finding[]): string {
  if (findings.length === 0) return `<p>${words.noFindings}</p>`;
  const order = { error: 0, warning: 1, info: 2 };
  const sorted = [...findings].sort((a, b) => order[a.severity] - order[b.severity]);
  const isPrinted = ({ severity }: Finding, i: number): boolean =>
    severity !== 'info' || i < PRINTED_FINDINGS;
  const left = sorted.filter((one, i) => !isPrinted(one, i)).length;
  return `<ul class="findings">${sorted
    .map((one, i) => {
      const { severity, message, count, whereMm } = one;
      const where = whereMm === null ? '' : ` (${words.where(count, pointText(whereMm))})`;
      return `<li class="${severity}${isPrinted(one, i) ? '' : ' more'}"><b>${severity}</b> ${wrappable(message + where)}</li>`;
    })
    .join('')}</ul>${left > 0 ? `<p class="hint paper-only">${words.more(left)}</p>` : ''}`;
}

function setupCells({ setup, source }: Plan): string {
  const length = (mm: number | null): string => (mm === null ? cells.fromScallop : lengthText(mm, 4));
  const { machine } = setup;
  return `<dl class="cells block">${[
    cell(OPTIONS.axis.label, setup.axis.map((x) => shown(x, 4)).join(', ')),
    cell(OPTIONS.toleranceMm.label, length(setup.toleranceMm)),
    cell(OPTIONS.scallopMm.label, length(setup.scallopMm)),
    cell(OPTIONS.stepoverMm.label, length(setup.stepoverMm)),
    cell(OPTIONS.stepdownMm.label, length(setup.stepdownMm)),
    cell(OPTIONS.stockMm.label, length(setup.stockMm)),
    cell(
      OPTIONS.mostLengthToDiameter.label,
      `${shown(setup.mostLengthToDiameter, 1)} ${OPTIONS.mostLengthToDiameter.unit}`,
    ),
    cell(OPTIONS.minRegionMm2.label, `${shown(setup.minRegionMm2, 3)} ${OPTIONS.minRegionMm2.unit}`),
    cell(OPTIONS.creaseDeg.label, `${shown(setup.creaseDeg, 1)}${OPTIONS.creaseDeg.unit}`),
    cell(cells.outer, setup.includeOutside ? cells.outerSteep : cells.outerLeft),
    cell(OPTIONS.within.label, setup.within === null ? cells.whole : words.outlines(setup.within.length)),
    cell(cells.catalogue, `${setup.cutters.length}`),
    cell(OPTIONS.machine.label, machine.name ?? (machine.placeholder ? cells.standIn : cells.noName)),
    cell(cells.sha, source.sha256, 'wide'),
  ].join('')}</dl>`;
}

/**
 * As data in a page, numbers as other files write them: the last digits of sines differ from one engine to
 * the next.
 */
function embeddedJson(value: unknown): string {
  const text = JSON.stringify(value, (_, one: unknown) =>
    typeof one === 'number' && Number.isFinite(one) ? roundedForFile(one) : one,
  );
  return text.replaceAll('<', '\\u003c');
}
