import type { SurfaceClass } from '../core/classes.js';
import {
  fittedText,
  FRAME_MM,
  INK,
  LARGE_LETTER_MM,
  LETTER_MM,
  lineElement,
  textElement,
  THIN_MM,
  WIDE_MM,
} from './drawing-parts.js';
import type { PlanDrawing } from './plan-drawing.js';
import { mmText } from './svg-text.js';
import { wrapText } from './text-table.js';

export interface ColumnContent {
  readonly drawing: PlanDrawing;
  readonly paper: string;
  readonly sheet: { readonly width: number; readonly height: number; readonly column: number };
  readonly scaleName: string;
  readonly used: readonly SurfaceClass[];
  /** Regions too small for their number. */
  readonly unmarked: readonly number[];
  /** Tight regions for which there was no row. */
  readonly notCalledOut: number;
}

const ROW_MM = 4.4;
const PAD_MM = 2.5;
const TITLE_ROWS = 5;

/** The column on the right of a sheet: legend and notes above, title block below. */
export function sheetColumn(content: ColumnContent): string {
  const { sheet } = content;
  const left = sheet.width - FRAME_MM - sheet.column;
  const bottom = sheet.height - FRAME_MM;
  const block = titleBlock(content, left, bottom);
  return [
    lineElement(left, FRAME_MM, left, bottom, WIDE_MM),
    legend(content, left + PAD_MM, FRAME_MM + 6),
    block,
  ].join('\n');
}

function legend(
  { drawing, used, sheet, unmarked, notCalledOut }: ColumnContent,
  x: number,
  y: number,
): string {
  const parts = [textElement(x, y, 'Surface classes', { size: LARGE_LETTER_MM })];
  let row = y + 3;
  const width = sheet.column - 2 * PAD_MM;
  for (const cls of used) {
    parts.push(
      `<rect x="${mmText(x)}" y="${mmText(row)}" width="10" height="5" fill="url(#hatch-${cls})" ` +
        `stroke="${INK}" stroke-width="0.25"/>`,
    );
    parts.push(textElement(x + 12, row + 3.4, fittedText(drawing.legend[cls] ?? cls, width - 12)));
    row += 7;
  }
  const letters = Math.floor(width / (0.56 * LETTER_MM));
  const notes = ['Numbers: regions as in the tables; what other surface may cover has none.'];
  if (unmarked.length > 0) notes.push(`Too small to number here: ${runs(unmarked)}.`);
  if (drawing.tightRegions.length > 0)
    notes.push(
      `T: tight place, not reached by ${drawing.tightFor ?? 'the first cutter'}; R: largest ball radius in mm that reaches all of it.`,
    );
  if (notCalledOut > 0) notes.push(`${notCalledOut} more tight places: see the tables.`);
  notes.push('Planning aid: verify by simulation and at the machine.');
  const room = Math.floor((sheet.height - FRAME_MM - blockHeight(drawing) - row - 4) / ROW_MM);
  const lines = notes.flatMap((note) => wrapText(note, letters, ''));
  const shown = lines.length <= room ? lines : [...lines.slice(0, room - 1), '…'];
  shown.forEach((line, i) => parts.push(textElement(x, row + 4 + i * ROW_MM, line)));
  return `<g id="legend">${parts.join('')}</g>`;
}

/** Ascending numbers in words, those that follow each other as from the first to the last. */
function runs(numbers: readonly number[]): string {
  const found: number[][] = [];
  for (const own of numbers) {
    const last = found[found.length - 1];
    if (last?.[last.length - 1] === own - 1) last.push(own);
    else found.push([own]);
  }
  return found
    .map((run) => (run.length > 2 ? `${run[0]} to ${run[run.length - 1]}` : run.join(', ')))
    .join(', ');
}

const blockHeight = (drawing: PlanDrawing): number =>
  (TITLE_ROWS + Math.min(drawing.setUp.length, 8)) * ROW_MM + 8;

function titleBlock(
  { drawing, paper, sheet, scaleName }: ColumnContent,
  left: number,
  bottom: number,
): string {
  const { min, max } = drawing.boundsMm;
  const width = sheet.column - 2 * PAD_MM;
  const top = bottom - blockHeight(drawing);
  const size = [0, 1, 2].map((axis) => Number((max[axis] - min[axis]).toFixed(2))).join(' × ');
  const rows = [
    `Size ${size} mm`,
    `Scale ${scaleName} on ${paper}`,
    `File of ${drawing.fileDate ?? 'unknown date'}`,
    'Plan view along the tool axis',
    ...drawing.setUp.slice(0, 8),
  ];
  return [
    `<g id="title-block">${lineElement(left, top, left + sheet.column, top, WIDE_MM)}`,
    textElement(left + PAD_MM, top + 5.5, fittedText(drawing.part, width, LARGE_LETTER_MM), {
      size: LARGE_LETTER_MM,
    }),
    lineElement(left, top + 8, left + sheet.column, top + 8, THIN_MM),
    ...rows.map((row, i) => textElement(left + PAD_MM, top + 12 + i * ROW_MM, fittedText(row, width))),
    '</g>',
  ].join('');
}
