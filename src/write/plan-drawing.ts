import { CLASSES, type SurfaceClass } from '../core/classes.js';
import type { Rings } from '../outlines/ring-measures.js';
import type { TightRegion } from '../plan/plan.js';
import { CLASS_COLOURS } from './class-colours.js';
import {
  axesMark,
  dimension,
  FRAME_MM,
  INK,
  scaleBar,
  textElement,
  THIN_MM,
  WIDE_MM,
} from './drawing-parts.js';
import { boxAbout, drawnNames } from './drawn-names.js';
import { sheetColumn } from './drawing-column.js';
import { hatchPattern } from './hatches.js';
import { labelPoints } from './label-points.js';
import { ballWords, tightName } from './place-names.js';
import { mmText, pathData, xmlText } from './svg-text.js';

export interface DrawnRegion {
  /** As in the tables. */
  readonly id: number;
  readonly cls: SurfaceClass;
  /** mm, y up; read even-odd */
  readonly rings: Rings;
}

export type DrawnTightRegion = Pick<TightRegion, 'id' | 'centreMm' | 'reachRadiusMm'>;

export interface PlanDrawing {
  readonly part: string;
  /** Day of the part's file, `2026-03-01`; null where it is not known. */
  readonly fileDate: string | null;
  /** What was asked for, one line each: split, overlap, tolerance ... */
  readonly setUp: readonly string[];
  readonly boundsMm: {
    readonly min: readonly [number, number, number];
    readonly max: readonly [number, number, number];
  };
  /** Words of the legend by class: `steep, above 48 degrees`. */
  readonly legend: Readonly<Partial<Record<SurfaceClass, string>>>;
  readonly regions: readonly DrawnRegion[];
  readonly tightRegions: readonly DrawnTightRegion[];
  /** The cutter that does not reach them; absent: the first of the ladder. */
  readonly tightFor?: string;
}

export type Paper = keyof typeof PAPERS;
/** ISO 216, on its long side, mm; width of the column on the right. */
const PAPERS = {
  A4: { width: 297, height: 210, column: 64 },
  A3: { width: 420, height: 297, column: 80 },
} as const;

/** Scales of ISO 5455, largest first, and on in its steps until the largest part that is read fits. */
const SCALES = [
  50,
  20,
  10,
  5,
  2,
  1,
  1 / 2,
  1 / 5,
  1 / 10,
  1 / 20,
  1 / 50,
  1 / 100,
  1 / 200,
  1 / 500,
  1 / 1000,
  1 / 2000,
  1 / 5000,
  1 / 10_000,
  1 / 20_000,
  1 / 50_000,
] as const;
/** What other surface may cover in plan, in painting order: it is drawn first and not numbered. */
const COVERED: readonly SurfaceClass[] = ['underside', 'hidden', 'undercut', 'outside'];
/** Frame on the side where sheets are filed. */
const FILED_MM = 20;
/**
 * Kept free beside the part: dimension and axes on the left, names of places on the right, dimension and scale bar
 * below.
 */
const ROOM = { left: 18, right: 18, top: 8, bottom: 26 } as const;
/** Between the part and its dimensions. */
const FREE_MM = 3.5;
const MARK_RADIUS_MM = 2.3;

/**
 * The plan as a drawing for people: classes hatched and tinted so that they can be told apart in black and
 * white, regions numbered, tight regions called out with their radius, overall dimensions, scale bar, legend,
 * title block.
 *
 * @throws {RangeError} if the part has no size in plan, or is larger than 1:50000 holds
 */
export function planDrawing(drawing: PlanDrawing, paper: Paper): string {
  const sheet = PAPERS[paper];
  const view = placeView(drawing, sheet);
  const seen = drawing.regions.filter(({ cls }) => !COVERED.includes(cls));
  const tight = drawing.tightRegions.map(({ centreMm: [x, y] }) => view.toPaper(x, y));
  const { regions, unmarked, placed } = regionMarks(seen, tight, view);
  const names = tightNames(drawing, placed, view);
  const used = CLASSES.filter((cls) => drawing.regions.some((region) => region.cls === cls));
  const title = `Plan of ${drawing.part}, ${scaleName(view.scale)} on ${paper}`;
  return [
    '<?xml version="1.0" encoding="UTF-8"?>',
    `<svg xmlns="http://www.w3.org/2000/svg" width="${sheet.width}mm" height="${sheet.height}mm" ` +
      `viewBox="0 0 ${sheet.width} ${sheet.height}" role="img" aria-labelledby="title desc" font-family="sans-serif" ` +
      `fill="${INK}">`,
    `<title id="title">${xmlText(title)}</title>`,
    '<desc id="desc">Plan view along the tool axis: surface classes, numbered regions, tight places, dimensions.</desc>',
    `<defs>${used.map(classHatch).join('')}</defs>`,
    `<rect width="${sheet.width}" height="${sheet.height}" fill="#FFFFFF"/>`,
    ...[...COVERED, ...CLASSES.filter((cls) => !COVERED.includes(cls))]
      .filter((cls) => used.includes(cls))
      .map((cls) => classElement(cls, drawing.regions, view)),
    `<g id="region-numbers">${regions}</g>`,
    `<g id="tight-regions" stroke-linejoin="round">${names.svg}</g>`,
    overallDimensions(drawing, view),
    scaleBar(FILED_MM + 6, sheet.height - FRAME_MM - 5, view.scale, view.width * 0.45),
    axesMark(FILED_MM + 4, sheet.height - FRAME_MM - 12),
    sheetColumn({
      drawing,
      paper,
      sheet,
      scaleName: scaleName(view.scale),
      used,
      unmarked,
      notCalledOut: names.left,
    }),
    `<rect x="${FILED_MM}" y="${FRAME_MM}" width="${sheet.width - FILED_MM - FRAME_MM}" ` +
      `height="${sheet.height - 2 * FRAME_MM}" fill="none" stroke="${INK}" stroke-width="${WIDE_MM}"/>`,
    '</svg>',
    '',
  ].join('\n');
}

/** Where the part stands on the paper. */
type View = ReturnType<typeof placeView>;

function placeView({ boundsMm: { min, max } }: PlanDrawing, sheet: (typeof PAPERS)[Paper]) {
  const [w, h] = [max[0] - min[0], max[1] - min[1]];
  if (!(w > 0 && h > 0)) throw new RangeError(`planDrawing: part of ${w} by ${h} mm in plan`);
  const left = FILED_MM + ROOM.left,
    right = sheet.width - FRAME_MM - sheet.column - ROOM.right;
  const top = FRAME_MM + ROOM.top,
    bottom = sheet.height - FRAME_MM - ROOM.bottom;
  const scale = SCALES.find((one) => w * one <= right - left && h * one <= bottom - top);
  if (scale === undefined)
    throw new RangeError(`planDrawing: part of ${w} by ${h} mm does not fit at 1:50000`);
  const cx = (left + right) / 2,
    cy = (top + bottom) / 2;
  return {
    scale,
    width: right - left,
    /** what names of places may take: not where the dimensions are */
    field: {
      left: cx - (w * scale) / 2 - FREE_MM,
      right: right + ROOM.right - 2,
      top: top - 4,
      bottom: cy + (h * scale) / 2 + FREE_MM,
    },
    toPaper: (x: number, y: number): [number, number] => [
      cx + (x - (min[0] + max[0]) / 2) * scale,
      cy - (y - (min[1] + max[1]) / 2) * scale,
    ],
  };
}

export const scaleName = (scale: number): string =>
  scale >= 1 ? `${scale}:1` : `1:${Math.round(1 / scale)}`;

/** The colour with `share` of it left, the rest filled up by `ground` (0 black, 255 white). */
function mixed(hex: string, share: number, ground: number): string {
  const channel = (at: number) =>
    Math.round(ground + share * (Number.parseInt(hex.slice(at, at + 2), 16) - ground));
  return `#${[1, 3, 5].map((at) => channel(at).toString(16).padStart(2, '0')).join('')}`;
}

/** Light ground, dark lines: the lines alone tell the class where colour is not printed. */
function classHatch(cls: SurfaceClass): string {
  return hatchPattern({
    id: `hatch-${cls}`,
    cls,
    ground: mixed(CLASS_COLOURS[cls], 0.3, 255),
    lineColour: mixed(CLASS_COLOURS[cls], 0.45, 0),
    spacingMm: 1.8,
    lineMm: 0.2,
  });
}

function classElement(cls: SurfaceClass, regions: readonly DrawnRegion[], { toPaper }: View): string {
  const paths = regions
    .filter((region) => region.cls === cls && region.rings.length > 0)
    .map(({ id, rings }) => {
      const placed = rings.map((ring) => {
        const onPaper = new Float64Array(ring.length);
        for (let i = 0; i < ring.length; i += 2) {
          const [x, y] = toPaper(ring[i], ring[i + 1]);
          onPaper.set([x, -y], i);
        }
        return onPaper;
      });
      return `<path id="region-${id}" d="${pathData(placed)}"/>`;
    });
  return (
    `<g id="class-${cls}" fill="url(#hatch-${cls})" fill-rule="evenodd" stroke="${INK}" stroke-width="0.25" ` +
    `stroke-linejoin="round">${paths.join('\n')}</g>`
  );
}

/**
 * A number in a white disc on each region that has room for it, clear of the dots of tight places; the others are named
 * in the column.
 */
function regionMarks(
  regions: readonly DrawnRegion[],
  dots: readonly (readonly [number, number])[],
  { scale, toPaper }: View,
): { regions: string; unmarked: number[]; placed: readonly [number, number][] } {
  const placed: [number, number][] = [];
  const marks: string[] = [];
  const unmarked: number[] = [];
  const isClear = ([x, y]: readonly [number, number], of: typeof dots, mm: number): boolean =>
    of.every(([u, v]) => (x - u) ** 2 + (y - v) ** 2 > mm * mm);
  for (const { id, rings } of regions.filter((region) => region.rings.length > 0)) {
    const spot = labelPoints(rings)
      .filter((point) => point.clearanceMm * scale >= MARK_RADIUS_MM / 4)
      .map((point) => toPaper(point.x, point.y))
      .find((at) => isClear(at, placed, 2.2 * MARK_RADIUS_MM) && isClear(at, dots, 1.3 * MARK_RADIUS_MM));
    if (!spot) {
      unmarked.push(id);
      continue;
    }
    placed.push(spot);
    marks.push(
      `<circle cx="${mmText(spot[0])}" cy="${mmText(spot[1])}" r="${MARK_RADIUS_MM}" fill="#FFFFFF" ` +
        `stroke="${INK}" stroke-width="${THIN_MM}"/>${textElement(spot[0], spot[1] + 0.9, String(id), { anchor: 'middle' })}`,
    );
  }
  return { regions: marks.join('\n'), unmarked, placed };
}

const tightNames = (
  { tightRegions }: PlanDrawing,
  discs: readonly (readonly [number, number])[],
  { toPaper, field }: View,
): ReturnType<typeof drawnNames> =>
  drawnNames(
    tightRegions.map((one) => ({ name: calledOut(one), at: toPaper(one.centreMm[0], one.centreMm[1]) })),
    discs.map(([x, y]) => boxAbout(x, y, 2 * MARK_RADIUS_MM, 2 * MARK_RADIUS_MM)),
    field,
  );

const calledOut = (place: DrawnTightRegion): string =>
  `${tightName(place)} ${ballWords(place.reachRadiusMm, (mm) => `R ${Number(mm.toFixed(2))}`)}`;

function overallDimensions({ boundsMm: { min, max } }: PlanDrawing, { toPaper }: View): string {
  const [x1, y1] = toPaper(min[0], min[1]),
    [x2, y2] = toPaper(max[0], max[1]);
  const text = (axis: number) => String(Number((max[axis] - min[axis]).toFixed(2)));
  return `<g id="dimensions">${dimension(x1, x2, y1, 7, text(0), false)}${dimension(y2, y1, x1, 7, text(1), true)}</g>`;
}
