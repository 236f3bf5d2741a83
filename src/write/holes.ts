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

/** Sum of what finishing all holes takes, or would, minutes; null: no cutter gets into any of them. */
const allMinutes = (holes: readonly HoleEntry[]): number | null =>
  holes.reduce<number | null>(
    (sum, { finishMinutes }) => (finishMinutes === null ? sum : (sum ?? 0) + finishMinutes),
    null,
  );

/** How it is made; one that no cutter gets into is not finished, whatever the set-up. */
const madeWords = ({ isDrilled, finishMinutes }: HoleEntry): string =>
  isDrilled ? text.drilled : finishMinutes === null ? text.noFit : text.finished;

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
      madeWords(hole),
      hole.finishMinutes === null ? '' : `${figure(hole.finishMinutes, 1)} min`,
    ]);
  const left = holes.length - rows.length;
  return [
    ...textTable(rows, ['right', 'right', 'left', 'left', 'left', 'right'], width),
    ...(left > 0 ? [`  and ${counted(left, 'more kind')}: see holes.csv`] : []),
  ];
}

/** Title of those lines: how many, and what leaving them to the drill saves. */
export function holesTitle({ holes }: Pick<Plan, 'holes'>): string {
  const count = holes.reduce((sum, hole) => sum + hole.count, 0),
    minutes = allMinutes(holes);
  return `Round upright holes: ${count}${minutes === null ? '' : `, roughly ${figure(minutes, 1)} min if finished`}`;
}

/** Each kind of hole with its places; empty where there are none. */
export function holesTable({ holes }: Plan): string {
  if (holes.length === 0) return '';
  const minutes = allMinutes(holes);
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
      words(heads.made, madeWords),
      numbers(heads.finishing, ({ finishMinutes }) =>
        finishMinutes === null ? '–' : minutesText(finishMinutes),
      ),
      lists(heads.mouthAt, places),
    ]) + (minutes === null ? '' : `<p class="hint no-print">${text.holesHint(minutesText(minutes))}</p>`)
  );
}
