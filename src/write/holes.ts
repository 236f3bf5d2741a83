import { figure } from '../core/figures.js';
import type { Plan } from '../plan/plan.js';
import { placeButton } from './place-button.js';
import { holeName } from './place-names.js';
import {
  areaText,
  htmlTable,
  lengthText,
  lists,
  minutesText,
  numbers,
  pointText,
  shown,
  words,
} from './report-numbers.js';
import { TEXT } from './report-text.js';
import { counted } from './summary-sections.js';
import { textTable } from './text-table.js';

const text = TEXT.report.tables,
  { heads } = text;
type HoleEntry = Plan['holes'][number];

/** More lines than this are told by the report. */
const MOST_LINES = 4;
/** More places of one kind of hole are told by plan.json and holes.csv. */
const MOST_PLACES = 40;

/** Sum of what finishing all holes takes, or would, minutes. */
const allMinutes = (holes: readonly HoleEntry[]): number =>
  holes.reduce((sum, { finishMinutes }) => sum + (finishMinutes ?? 0), 0);

/** On the terminal: each kind of hole. */
export function holeLines({ holes }: Pick<Plan, 'holes'>, width: number): string[] {
  const rows = holes
    .slice(0, MOST_LINES)
    .map((hole) => [
      `${hole.count} x`,
      `${figure(hole.diameterMm, 2)} mm`,
      `${hole.kind}, ${figure(hole.depthMm, 1)} deep`,
      hole.counterbore === null
        ? ''
        : `counterbore ${figure(hole.counterbore.diameterMm, 2)} x ${figure(hole.counterbore.depthMm, 1)}`,
      hole.isDrilled ? text.drilled : text.finished,
      hole.finishMinutes === null ? text.noFit : `${figure(hole.finishMinutes, 1)} min`,
    ]);
  const left = holes.length - rows.length;
  return [
    ...textTable(rows, ['right', 'right', 'left', 'left', 'left', 'right'], width),
    ...(left > 0 ? [`  and ${counted(left, 'more kind')}: see holes.csv`] : []),
  ];
}

/** Title of those lines: how many, and what leaving them to the drill saves. */
export function holesTitle({ holes }: Pick<Plan, 'holes'>): string {
  const count = holes.reduce((sum, hole) => sum + hole.count, 0);
  return `Round upright holes: ${count}, roughly ${figure(allMinutes(holes), 1)} min if finished`;
}

/** Each kind of hole with its places; empty where there are none. */
export function holesTable({ holes }: Plan): string {
  if (holes.length === 0) return '';
  const places = (hole: HoleEntry): string =>
    hole.topsMm
      .slice(0, MOST_PLACES)
      .map((at, i) => `<span>${placeButton(holeName(hole, i))} ${pointText(at)}</span>`)
      .join('; ') + (hole.count > MOST_PLACES ? `; ${TEXT.report.moreInPlan(hole.count - MOST_PLACES)}` : '');
  return (
    htmlTable(text.holes, holes, [
      words(heads.hole, ({ id }) => `H${id}`),
      numbers(heads.count, ({ count }) => `${count}`),
      numbers(heads.diameter, ({ diameterMm }) => lengthText(diameterMm, 3)),
      numbers(heads.depth, ({ depthMm }) => lengthText(depthMm, 2)),
      words(heads.kind, ({ kind }) => text[kind]),
      ...(holes.every(({ counterbore }) => counterbore === null)
        ? []
        : [
            words<HoleEntry>(heads.counterbore, ({ counterbore }) =>
              counterbore === null
                ? '–'
                : text.counterbored(shown(counterbore.diameterMm, 3), lengthText(counterbore.depthMm, 2)),
            ),
          ]),
      ...(holes.every(({ mouthDiameterMm }) => mouthDiameterMm === null)
        ? []
        : [
            numbers<HoleEntry>(heads.mouth, ({ mouthDiameterMm }) =>
              mouthDiameterMm === null ? '–' : `Ø ${lengthText(mouthDiameterMm, 3)}`,
            ),
          ]),
      numbers(heads.area, ({ areaMm2 }) => areaText(areaMm2)),
      words(heads.made, ({ isDrilled }) => (isDrilled ? text.drilled : text.finished)),
      numbers(heads.finishing, ({ finishMinutes }) =>
        finishMinutes === null ? text.noFit : minutesText(finishMinutes),
      ),
      lists(heads.mouthAt, places),
    ]) + `<p class="hint no-print">${text.holesHint(minutesText(allMinutes(holes)))}</p>`
  );
}
