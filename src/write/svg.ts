import { CLASSES, type SurfaceClass } from '../core/classes.js';
import { ringArea, type Rings } from '../outlines/ring-measures.js';
import { ringsOfRegion } from '../outlines/trace-rings.js';
import type { Outlines } from '../outlines/types.js';
import { CLASS_COLOURS } from './class-colours.js';
import { hatchPattern } from './hatches.js';
import { cutText, mmText, niceLengthMm, pathData, xmlText } from './svg-text.js';

/** How a group is drawn: a class is filled, everything else is a line of its own kind. */
export type OutlineLook = SurfaceClass | keyof typeof LINE_LOOKS;

export interface OutlineShape {
  readonly id: string;
  readonly title: string;
  /** mm, y up; read even-odd */
  readonly rings: Rings;
  /** what it is for, as data beside the path */
  readonly use?: string;
  /** border of upright surface: on neither side of its rings is work */
  readonly isLine?: boolean;
}

export interface OutlineGroup {
  /** Unique in the sheet: `class-steep`, `pass-waterline`, `cutter-B6-contact` ... */
  readonly id: string;
  readonly title: string;
  readonly look: OutlineLook;
  readonly shapes: readonly OutlineShape[];
  /** There for programs that ask for it by its id, but not drawn. */
  readonly hidden?: boolean;
}

export interface OutlineSheet {
  readonly title: string;
  readonly description: string;
  /** Of the part in plan. */
  readonly boundsMm: { readonly min: readonly [number, number]; readonly max: readonly [number, number] };
  readonly groups: readonly OutlineGroup[];
}

/**
 * Raster is wide and light, waterline narrow and dark: where they run together, one shows inside the other.
 */
const LINE_LOOKS = {
  raster: { colour: '#EE7733', widthMm: 0.6, dash: '' },
  constant: { colour: '#009988', widthMm: 0.4, dash: '' },
  waterline: { colour: '#000000', widthMm: 0.2, dash: '' },
  tight: { colour: '#EE3377', widthMm: 0.3, dash: '' },
  left: { colour: '#BB0000', widthMm: 0.4, dash: '0.8 0.4' },
  contact: { colour: '#222222', widthMm: 0.25, dash: '' },
  centre: { colour: '#0077BB', widthMm: 0.25, dash: '4 0.8 0.8 0.8' },
  runOut: { colour: '#AA3377', widthMm: 0.25, dash: '1.5 1' },
} as const;

/** Places are hatched in their own colour over the classes: by the lines of which class, and how far apart. */
const PLACE_HATCHES = {
  tight: { cls: 'overlap', spacingMm: 1 },
  left: { cls: 'steep', spacingMm: 1 },
} as const;

/** Classes told apart in grey print by lines; the other machinable ones differ in lightness. */
const HATCHED: readonly SurfaceClass[] = ['overlap', 'undercut', 'hidden', 'underside', 'outside'];
const MARGIN_MM = 10;
const LEGEND_ROW_MM = 5;
const TEXT_MM = 3.2;
/** Mean width of a letter, in its height. */
const LETTER_WIDTH = 0.56;

/** One group per class that occurs, in the order of `CLASSES`, with one shape per region. */
export function classGroups(outlines: Outlines, classOfRegion: ArrayLike<number>): OutlineGroup[] {
  const regions = [...new Set(outlines.regionOfRing)];
  return CLASSES.flatMap((cls, index) => {
    const shapes = regions
      .filter((region) => classOfRegion[region] === index)
      .map((region) => ({
        id: `region-${region}`,
        title: `${cls} region ${region}`,
        rings: ringsOfRegion(outlines, region),
      }));
    return shapes.length === 0 ? [] : [{ id: `class-${cls}`, title: `class ${cls}`, look: cls, shapes }];
  });
}

/**
 * The outlines as an SVG in true size: one unit is one mm, and the plan point (x, y) is written as (x, -y),
 * so that the part's own coordinates can be read back. A scale bar and a legend stand below the part, marked
 * as furniture.
 *
 * @throws {RangeError} if a coordinate is not finite or two ids are equal
 */
export function outlinesSvg(sheet: OutlineSheet): string {
  const { min, max } = sheet.boundsMm;
  requireUniqueIds(sheet.groups);
  const left = min[0] - MARGIN_MM,
    top = -max[1] - MARGIN_MM;
  const width = Math.max(max[0] - min[0], MIN_WIDTH_MM) + 2 * MARGIN_MM;
  const legend = furniture(sheet.groups, min[0], -min[1] + MARGIN_MM, width - 2 * MARGIN_MM);
  const height = max[1] - min[1] + 2 * MARGIN_MM + legend.heightMm;
  return [
    '<?xml version="1.0" encoding="UTF-8"?>',
    `<svg xmlns="http://www.w3.org/2000/svg" width="${mmText(width)}mm" height="${mmText(height)}mm" ` +
      `viewBox="${[left, top, width, height].map(mmText).join(' ')}" role="img" aria-labelledby="title desc">`,
    `<title id="title">${xmlText(sheet.title)}</title>`,
    `<desc id="desc">${xmlText(sheet.description)} One unit is one millimetre; plan point (x, y) is written as (x, -y).` +
      '</desc>',
    `<defs>${HATCHED.map(classHatch).join('')}${Object.keys(PLACE_HATCHES).filter(isPlace).map(placeHatch).join('')}</defs>`,
    ...sheet.groups.map(groupElement),
    legend.svg,
    '</svg>',
    '',
  ].join('\n');
}

/** Room for the legend below the narrowest part. */
const MIN_WIDTH_MM = 60;

function requireUniqueIds(groups: readonly OutlineGroup[]): void {
  const seen = new Set(['title', 'desc', 'furniture']);
  for (const { id } of groups.flatMap((group) => [group, ...group.shapes])) {
    if (seen.has(id)) throw new RangeError(`outlinesSvg: id "${id}" is used twice`);
    seen.add(id);
  }
}

function classHatch(cls: SurfaceClass): string {
  return hatchPattern({
    id: `hatch-${cls}`,
    cls,
    ground: CLASS_COLOURS[cls],
    lineColour: '#222222',
    spacingMm: 2,
    lineMm: 0.2,
  });
}

const isPlace = (look: string): look is keyof typeof PLACE_HATCHES => look in PLACE_HATCHES;

const placeHatch = (look: keyof typeof PLACE_HATCHES): string =>
  hatchPattern({
    id: `hatch-${look}`,
    ...PLACE_HATCHES[look],
    ground: 'none',
    lineColour: LINE_LOOKS[look].colour,
    lineMm: 0.1,
  });

const isClass = (look: OutlineLook): look is SurfaceClass => !(look in LINE_LOOKS);

function lookAttributes(look: OutlineLook): string {
  if (isClass(look)) {
    const fill = HATCHED.includes(look) ? `url(#hatch-${look})` : CLASS_COLOURS[look];
    return `fill="${fill}" fill-rule="evenodd" stroke="#222222" stroke-width="0.2" stroke-linejoin="round"`;
  }
  const { colour, widthMm, dash } = LINE_LOOKS[look];
  return (
    `fill="${isPlace(look) ? `url(#hatch-${look})` : 'none'}" fill-rule="evenodd" stroke="${colour}" stroke-width="${widthMm}" stroke-linejoin="round"` +
    (dash === '' ? '' : ` stroke-dasharray="${dash}"`)
  );
}

/** What the outline is for, and of each of its rings, in their order, whether work lies inside, outside or along it. */
function useData({ use, rings, isLine = false }: OutlineShape): string {
  if (use === undefined) return '';
  const sides = rings.map((ring) => (isLine ? 'along' : ringArea(ring) > 0 ? 'inside' : 'outside'));
  return ` data-use="${xmlText(use)}" data-rings="${sides.join(' ')}"`;
}

function groupElement({ id, title, look, shapes, hidden }: OutlineGroup): string {
  const paths = shapes
    .filter((shape) => shape.rings.length > 0)
    .map(
      (shape) =>
        `<path id="${xmlText(shape.id)}"${useData(shape)} d="${pathData(shape.rings)}"><title>${xmlText(shape.title)}</title></path>`,
    );
  const display = hidden ? ' display="none"' : '';
  return [
    `<g id="${xmlText(id)}" ${lookAttributes(look)}${display}><title>${xmlText(title)}</title>`,
    ...paths,
    '</g>',
  ].join('\n');
}

/** Scale bar with ends and middle marked, and a swatch for each group that is drawn. */
function furniture(groups: readonly OutlineGroup[], x: number, y: number, width: number) {
  const length = niceLengthMm(width / 2);
  const bar =
    `M${mmText(x)} ${mmText(y)}V${mmText(y + 2)}H${mmText(x + length)}V${mmText(y)}` +
    `M${mmText(x + length / 2)} ${mmText(y + 1)}V${mmText(y + 2)}`;
  const shown = groups.filter((group) => !group.hidden && group.shapes.length > 0);
  const longest = Math.max(0, ...shown.map(({ title }) => [...title].length));
  const column = Math.min(width, 10 + longest * LETTER_WIDTH * TEXT_MM);
  const perRow = Math.max(1, Math.floor(width / column));
  const first = y + 2 * LEGEND_ROW_MM;
  const swatches = shown.map(({ title, look }, i) =>
    swatch(title, look, x + (i % perRow) * column, first + LEGEND_ROW_MM * Math.floor(i / perRow), column),
  );
  const svg = [
    `<g id="furniture" data-furniture="true" font-family="sans-serif" font-size="${TEXT_MM}" fill="#222222">`,
    `<path id="scale-bar" d="${bar}" fill="none" stroke="#222222" stroke-width="0.3"/>`,
    `<text x="${mmText(x + length + 2)}" y="${mmText(y + 2)}">${length} mm</text>`,
    `<text x="${mmText(x)}" y="${mmText(y + LEGEND_ROW_MM + 1.5)}">True size when printed at 100 %</text>`,
    ...swatches,
    '</g>',
  ].join('\n');
  return { svg, heightMm: LEGEND_ROW_MM * (2 + Math.ceil(shown.length / perRow)) };
}

function swatch(title: string, look: OutlineLook, x: number, y: number, width: number): string {
  const most = Math.floor((width - 7.5) / (LETTER_WIDTH * TEXT_MM));
  const sample =
    isClass(look) || isPlace(look)
      ? `<rect x="${mmText(x)}" y="${mmText(y)}" width="6" height="3.5" ${lookAttributes(look)}/>`
      : `<path d="M${mmText(x)} ${mmText(y + 1.75)}h6" ${lookAttributes(look)}/>`;
  return `${sample}<text x="${mmText(x + 7.5)}" y="${mmText(y + 2.9)}">${xmlText(cutText(title, most))}</text>`;
}
