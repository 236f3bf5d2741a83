import { suggestion } from '../core/check-input.js';
import { MOST_MM } from '../core/limits.js';
import { readError } from './read-error.js';
import { flattenShape, SHAPE_ELEMENTS, type ShapeElement } from './svg-shapes.js';
import {
  applyTo,
  compose,
  IDENTITY,
  numberList,
  readTransform,
  stretchOf,
  type Affine,
} from './svg-transform.js';
import { readSvgTree, type SvgElement } from './svg-tree.js';

export interface ReadSvgOptions {
  /** File that is blamed in errors. */
  readonly where: string;
  /** Only what the element of this id holds; null: everything. */
  readonly only: string | null;
  /** How far a straight side may stray from its curve, mm. */
  readonly toleranceMm: number;
}
export const READ_SVG_DEFAULTS: ReadSvgOptions = { where: 'outlines', only: null, toleranceMm: 0.002 };

/** What is needed of a library that unites areas: outer rings come out counter-clockwise, holes clockwise. */
export interface RingUnion {
  readonly resolve: (rings: readonly Float64Array[], rule: 'EvenOdd' | 'NonZero') => Float64Array[];
}

/**
 * Closed plan outlines of an SVG drawing: what its paths, rectangles, circles, ellipses and polygons cover
 * together.
 *
 * The drawing's size in mm comes from `width`, `height` and `viewBox`; its point (x, y) is the plan point (x,
 * -y), as `outlinesSvg` writes it, so the drawing's origin is the part's. Groups marked as furniture and
 * elements that are not displayed are passed over.
 *
 * @returns rings, mm, y up, outer counter-clockwise, holes clockwise, for even-odd reading
 * @throws {PartError} naming what is not understood: another element, an open path, a percentage, a clip ...
 */
export function readSvgOutlines(
  text: string,
  clipper: RingUnion,
  options: ReadSvgOptions = READ_SVG_DEFAULTS,
): Float64Array[] {
  const root = readSvgTree(text, options.where);
  const state: Reading = {
    ...options,
    clipper,
    rings: [],
    points: 0,
    ids: [],
    isFound: options.only === null,
  };
  const scale = userUnitMm(root, options.where);
  for (const child of root.children)
    visit(child, [scale, 0, 0, -scale, 0, 0], 'nonzero', options.only === null, state);
  if (!state.isFound) {
    throw readError(
      'within.no-such-id',
      options.where,
      `no element with the id "${options.only ?? ''}"`,
      suggestion(options.only ?? '', state.ids),
    );
  }
  // All at once: one after the other, thousands of shapes would take as many times as long as all together.
  const rings = clipper.resolve(state.rings, 'NonZero');
  if (rings.length === 0) {
    throw readError(
      'within.empty',
      options.where,
      'no closed outline in it',
      'draw at least one closed shape',
    );
  }
  return rings;
}

interface Reading extends ReadSvgOptions {
  readonly clipper: RingUnion;
  /** of each shape by itself: what winds about a point of several shapes winds the same way */
  readonly rings: Float64Array[];
  points: number;
  readonly ids: string[];
  isFound: boolean;
}

/** Elements that draw nothing by themselves. */
const SILENT = new Set(['title', 'desc', 'metadata', 'defs', 'style']);
const MM_PER_UNIT: Readonly<Record<string, number>> = {
  // CSS Values 3, 6.2: 1 in = 2.54 cm = 96 px = 72 pt = 6 pc.
  mm: 1,
  cm: 10,
  in: 25.4,
  px: 25.4 / 96,
  '': 25.4 / 96,
  pt: 25.4 / 72,
  pc: 25.4 / 6,
  q: 0.25,
};

function refuse(where: string, what: string, remedy = 'leave it out or turn it into a closed path'): never {
  throw readError('within.not-understood', where, what, remedy);
}

const nameOf = (element: SvgElement, where: string): string =>
  `${where}: <${element.name}${element.attributes.id === undefined ? '' : ` id="${element.attributes.id}"`}>`;

/** mm per user unit of the whole drawing. */
function userUnitMm(root: SvgElement, where: string): number {
  const size = ['width', 'height'].map((name) => {
    const match = /^\s*([\d.]+(?:e[+-]?\d+)?)\s*([a-z]*)\s*$/i.exec(root.attributes[name] ?? '');
    const unit = match ? MM_PER_UNIT[match[2].toLowerCase()] : undefined;
    if (!match || unit === undefined) {
      refuse(where, `${name} "${root.attributes[name] ?? ''}" of the drawing`, 'give width and height in mm');
    }
    return Number(match[1]) * unit;
  });
  const viewBox = root.attributes.viewBox;
  if (viewBox === undefined) return MM_PER_UNIT.px;
  const box = numberList(viewBox);
  if (box.length !== 4 || !box.every(Number.isFinite) || !(box[2] > 0 && box[3] > 0)) {
    refuse(where, `viewBox "${viewBox}"`, 'give four numbers');
  }
  const [x, y] = [size[0] / box[2], size[1] / box[3]];
  if (!(x > 0) || Math.abs(x - y) > 1e-3 * x) {
    const what = `viewBox "${viewBox}" that does not fit ${size[0]} by ${size[1]} mm`;
    refuse(where, what, 'give both the same proportions');
  }
  return x;
}

function visit(element: SvgElement, outer: Affine, rule: string, isWanted: boolean, state: Reading): void {
  const { attributes, name } = element;
  const id = attributes.id;
  if (id !== undefined) state.ids.push(id);
  if (id !== undefined && id === state.only) [isWanted, state.isFound] = [true, true];
  // Elements of other vocabularies are notes of the drawing program.
  if (name.includes(':') || SILENT.has(name) || attributes['data-furniture'] === 'true') return;
  const style = styleOf(element);
  // What is not displayed is read only where it is asked for by its id.
  if (style('display') === 'none' && id !== state.only && (isWanted || state.only === null)) return;
  const isShape = isShapeElement(name);
  if (!isShape && name !== 'g') {
    if (isWanted) refuse(nameOf(element, state.where), 'not understood');
    return;
  }
  if (isWanted) refuseEffects(element, style, state.where);
  const transform = attributes.transform === undefined ? IDENTITY : readTransform(attributes.transform);
  if (transform === null)
    refuse(nameOf(element, state.where), `transform "${attributes.transform}" not understood`);
  const inner = compose(outer, transform);
  const ownRule = style('fill-rule') ?? rule;
  if (isShape && isWanted) addShape(element, name, inner, ownRule, state);
  for (const child of element.children) visit(child, inner, ownRule, isWanted, state);
}

const isShapeElement = (name: string): name is ShapeElement => SHAPE_ELEMENTS.some((one) => one === name);

/** A presentation property: the style attribute goes before the attribute of that name. */
function styleOf({ attributes }: SvgElement): (name: string) => string | undefined {
  const declared = new Map(
    (attributes.style ?? '').split(';').map((one) => {
      const colon = one.indexOf(':');
      return [one.slice(0, Math.max(colon, 0)).trim(), one.slice(colon + 1).trim()];
    }),
  );
  return (name) => declared.get(name) ?? attributes[name];
}

function refuseEffects(
  element: SvgElement,
  style: (name: string) => string | undefined,
  where: string,
): void {
  for (const effect of ['clip-path', 'mask', 'filter', 'visibility']) {
    const value = style(effect);
    if (value !== undefined && value !== 'none' && value !== 'visible') {
      refuse(nameOf(element, where), `${effect} not understood`);
    }
  }
  if (/(^|;)\s*(transform|translate|rotate|scale|d)\s*:/.test(element.attributes.style ?? '')) {
    refuse(nameOf(element, where), 'style that moves or shapes it not understood', 'use attributes instead');
  }
}

function addShape(element: SvgElement, name: ShapeElement, map: Affine, rule: string, state: Reading): void {
  const { attributes } = element;
  const stretch = stretchOf(map);
  if (!(stretch > 0)) return;
  const length = (key: string): number => {
    const match = /^\s*([+-]?[\d.]+(?:e[+-]?\d+)?)\s*([a-z%]*)\s*$/i.exec(attributes[key] ?? '0');
    if (!match) return NaN;
    if (match[2] === '') return Number(match[1]);
    return (Number(match[1]) * (MM_PER_UNIT[match[2].toLowerCase()] ?? NaN)) / MM_PER_UNIT.px;
  };
  const paths = flattenShape(name, length, (key) => attributes[key], state.toleranceMm / stretch);
  if (paths === null)
    refuse(nameOf(element, state.where), 'a number or length in it not understood', 'use plain numbers');
  const rings = paths.map((path) => {
    if (!path.closed) {
      throw readError('within.open-path', nameOf(element, state.where), 'path is open', 'close it');
    }
    const ring = new Float64Array(path.points.length);
    for (let i = 0; i < ring.length; i += 2) ring.set(applyTo(map, path.points[i], path.points[i + 1]), i);
    checkSize(ring, nameOf(element, state.where), state);
    return ring;
  });
  const area = state.clipper.resolve(
    rings.filter((ring) => ring.length >= 6),
    rule === 'evenodd' ? 'EvenOdd' : 'NonZero',
  );
  state.rings.push(...area);
}

/** More points than this take many seconds to unite. */
const MOST_POINTS = 200_000;

function checkSize(ring: Float64Array, where: string, state: Reading): void {
  if (!ring.every((mm) => Math.abs(mm) <= MOST_MM)) {
    throw readError('within.too-far', where, `it reaches farther than ${MOST_MM} mm`, 'draw it in true size');
  }
  state.points += ring.length / 2;
  if (state.points > MOST_POINTS) {
    const what = `more than ${MOST_POINTS} points, its curves taken as straight sides`;
    throw readError('within.too-many-points', state.where, what, 'draw fewer or simpler outlines');
  }
}
