import { SaxesParser, type SaxesTagNS } from 'saxes';
import { messageOf, PartError } from '../core/errors.js';
import { growingNumbers } from '../core/growing-numbers.js';
import { MOST_TRIANGLES } from '../core/limits.js';
import type { FileUnit } from '../core/units.js';
import { checkTriangles, readError } from './read-error.js';

const NAMESPACE = 'http://schemas.microsoft.com/3dmanufacturing';
const CORE = `${NAMESPACE}/core/2015/02`;
const PRODUCTION = `${NAMESPACE}/production/2015/06`;
/** Extensions that do not change where a triangle lies, or that are read. */
const HARMLESS = [PRODUCTION, `${NAMESPACE}/material/2015/02`, `${NAMESPACE}/trianglesets/2021/07`];
/** 3MF core specification 1.4, "Model": words for the unit. */
const UNIT_OF: Readonly<Record<string, FileUnit>> = {
  micron: 'um',
  millimeter: 'mm',
  centimeter: 'cm',
  inch: 'in',
  foot: 'ft',
  meter: 'm',
};

/** An object placed in another one, or in the build. */
export interface Placement {
  readonly objectId: string;
  /** model part that holds the object, as written; null: the same */
  readonly path: string | null;
  /** 4 x 3, row by row, acting on rows: (x y z 1) M */
  readonly matrix: readonly number[];
}

/** An object: triangles of its own (`first` to `end` of the model's), and others placed in it. */
export interface MeshObject {
  readonly isSupport: boolean;
  readonly first: number;
  end: number;
  readonly components: Placement[];
}

/** One model part of a 3MF. */
export interface Model {
  readonly unit: FileUnit;
  /** whether the file names its unit, or leaves it at the format's own */
  readonly isUnitStated: boolean;
  /** (9 T) corners of the triangles of all objects, one object after the other */
  readonly corners: Float64Array;
  readonly objects: ReadonlyMap<string, MeshObject>;
  readonly build: readonly Placement[];
}

const UNMOVED = [1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0];

/**
 * A model part from its XML, handed over piece by piece. Entities of a document's own are not known, and a
 * document type is refused, as 3MF forbids it.
 *
 * @throws {PartError} `read.damaged`, `read.non-finite` or `read.unsupported-extension`, in `write` and `end`
 */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: one parser and what it fills.
export function modelParser(where: string) {
  const parser = new SaxesParser({ xmlns: true });
  const decoder = new TextDecoder('utf-8', { fatal: true });
  const objects = new Map<string, MeshObject>();
  const build: Placement[] = [];
  const corners = growingNumbers();
  let points: number[] = [],
    object: MeshObject | null = null,
    unit: FileUnit | null = null,
    isUnitStated = false;

  const damaged = (what: string): PartError =>
    readError('read.damaged', `${where}: line ${parser.line}`, what);

  function openModel(tag: SaxesTagNS): void {
    if (tag.uri !== CORE || tag.local !== 'model') throw damaged('no model of 3MF begins here');
    const word = text(tag, 'unit');
    isUnitStated = word !== null;
    unit = UNIT_OF[word ?? 'millimeter'] ?? null;
    if (unit === null)
      throw damaged(`unit "${word}" found, one of ${Object.keys(UNIT_OF).join(', ')} expected`);
    const prefixes = (text(tag, 'requiredextensions') ?? '').split(/\s+/).filter((one) => one !== '');
    const foreign = prefixes.map((prefix) => tag.ns[prefix] ?? prefix).find((uri) => !HARMLESS.includes(uri));
    if (foreign === undefined) return;
    const what = `its shape needs the extension ${foreign}`;
    throw readError('read.unsupported-extension', where, what, 'export it as a plain mesh');
  }

  function addVertex(tag: SaxesTagNS): void {
    for (const axis of ['x', 'y', 'z']) points.push(finite(tag, axis));
  }

  function addTriangle(tag: SaxesTagNS): void {
    checkTriangles(corners.length() / 9, where, MOST_TRIANGLES);
    for (const key of ['v1', 'v2', 'v3']) {
      const v = finite(tag, key);
      if (!(Number.isInteger(v) && v >= 0 && 3 * v < points.length))
        throw damaged(`a triangle names vertex ${v}, the object has ${points.length / 3} from 0 on`);
      for (let i = 0; i < 3; i++) corners.push(points[3 * v + i]);
    }
    if (object !== null) object.end = corners.length() / 9;
  }

  function openObject(tag: SaxesTagNS): void {
    const triangles = corners.length() / 9;
    const isSupport = /support$/.test(text(tag, 'type') ?? '');
    object = { isSupport, first: triangles, end: triangles, components: [] };
    points = [];
    objects.set(text(tag, 'id') ?? '', object);
  }

  function placementOf(tag: SaxesTagNS): Placement {
    const words = text(tag, 'transform')?.trim().split(/\s+/);
    const matrix = words?.map(Number) ?? UNMOVED;
    if (matrix.length !== 12 || !matrix.every(Number.isFinite))
      throw damaged(`transform "${words?.join(' ')}" found, 12 numbers expected`);
    return { objectId: text(tag, 'objectid') ?? '', path: text(tag, 'path', PRODUCTION), matrix };
  }

  function finite(tag: SaxesTagNS, key: string): number {
    const word = text(tag, key),
      value = word === null || word.trim() === '' ? NaN : Number(word);
    if (value - value === 0) return value;
    const place = `${where}: line ${parser.line}`;
    throw readError('read.non-finite', place, `${key} "${word ?? ''}" found, a finite number expected`);
  }

  const openers: Readonly<Record<string, (tag: SaxesTagNS) => void>> = {
    object: openObject,
    vertex: addVertex,
    triangle: addTriangle,
    component: (tag) => object?.components.push(placementOf(tag)),
    item: (tag) => build.push(placementOf(tag)),
  };
  parser.on('doctype', () => {
    throw damaged('a document type, which 3MF forbids');
  });
  parser.on('opentag', (tag) => {
    if (unit === null) openModel(tag);
    else if (tag.uri === CORE && Object.hasOwn(openers, tag.local)) openers[tag.local](tag);
  });
  /** The parser throws its errors, with line and column before the reason. */
  const parse = (work: () => void): void => {
    try {
      work();
    } catch (error) {
      if (error instanceof PartError) throw error;
      throw damaged(`XML that cannot be read (${messageOf(error)})`);
    }
  };
  return {
    write: (piece: Uint8Array): void => parse(() => parser.write(decoder.decode(piece, { stream: true }))),
    end: (): Model => {
      parse(() => parser.write(decoder.decode()).close());
      return { unit: unit ?? 'mm', isUnitStated, corners: corners.toArray(), objects, build };
    },
  };
}

/** An attribute without a namespace, or in the one given; null if it is not there. */
function text({ attributes }: SaxesTagNS, local: string, uri = ''): string | null {
  if (uri === '') return attributes[local]?.value ?? null;
  return Object.values(attributes).find((one) => one.local === local && one.uri === uri)?.value ?? null;
}
