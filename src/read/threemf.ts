import { SaxesParser } from 'saxes';
import { messageOf, type PartError } from '../core/errors.js';
import { MOST_TRIANGLES } from '../core/limits.js';
import { finding, type Finding } from '../core/findings.js';
import { checkGrowth } from './check-growth.js';
import { checkTriangles, readError } from './read-error.js';
import type { ReadTriangles } from './read-triangles.js';
import { modelParser, type MeshObject, type Model, type Placement } from './threemf-model.js';
import { unpackEntry, zipEntries, type ZipEntry } from './zip-entries.js';

const ROOT_RELATIONS = '_rels/.rels';
const MODEL_RELATION = 'http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel';
/** A list of relations longer than this is none. */
const MOST_RELATION_BYTES = 2 ** 20;

interface Package {
  readonly bytes: Uint8Array;
  readonly name: string;
  readonly entries: ReadonlyMap<string, ZipEntry>;
}

/**
 * Triangles of a 3MF: the objects that its build places, components and transforms followed, in other model
 * parts of the package as well. Supports are left out.
 *
 * @throws {PartError} `read.unknown-format` if the archive is no 3MF; `read.truncated`, `read.damaged`,
 *   `read.non-finite`, `read.unsupported-extension`, `read.unsupported-packing`, `read.too-large`,
 *   `read.no-triangles` or `read.too-many-triangles`
 */
export function readThreeMf(bytes: Uint8Array, name: string): ReadTriangles {
  const entries = new Map(zipEntries(bytes, name).map((entry) => [partName(entry.name), entry]));
  const archive = { bytes, name, entries };
  const rootName = rootModelName(archive);
  const models = readModels(archive, rootName);
  const root = need(models.get(rootName), name, rootName);
  if (root.build.length === 0) {
    const what = 'its build is empty: no object is placed';
    throw readError('read.no-triangles', name, what, 'place the part in the build, or export it as STL');
  }
  const placed = placedObjects(models, rootName, name);
  const { unit, isUnitStated } = root;
  return {
    corners: placedCorners(placed),
    stated: { unit, by: isUnitStated ? 'file' : 'format' },
    findings: placedFindings(placed, root),
  };
}

/** Parts are named alike whatever their case (ISO/IEC 29500-2), with or without the leading slash. */
const partName = (name: string): string => name.replace(/^\//, '').toLowerCase();

function unpack({ bytes, name, entries }: Package, part: string, use: (piece: Uint8Array) => void): void {
  unpackEntry(bytes, need(entries.get(part), name, part), `${name}: ${part}`, use);
}

function need<T>(value: T | undefined, name: string, part: string): T {
  if (value === undefined) throw readError('read.damaged', name, `a 3MF without its part "${part}"`);
  return value;
}

/** The model that the package begins with. */
function rootModelName(archive: Package): string {
  const { name, entries } = archive;
  const relations = entries.get(ROOT_RELATIONS);
  if (relations === undefined) throw noModel(name);
  if (relations.bytes > MOST_RELATION_BYTES)
    throw readError('read.damaged', `${name}: ${ROOT_RELATIONS}`, `${relations.bytes} bytes of relations`);
  let target: string | null = null;
  const decoder = new TextDecoder();
  const parser = new SaxesParser({});
  parser.on('opentag', ({ attributes: { Type, Target, TargetMode } }) => {
    if (Type === MODEL_RELATION && TargetMode !== 'External') target ??= Target ?? null;
  });
  unpack(archive, ROOT_RELATIONS, (piece) => {
    try {
      parser.write(decoder.decode(piece, { stream: true }));
    } catch (error) {
      throw readError('read.damaged', `${name}: ${ROOT_RELATIONS}`, messageOf(error));
    }
  });
  if (target === null) throw noModel(name);
  return partName(target);
}

const noModel = (name: string): PartError =>
  readError(
    'read.unknown-format',
    name,
    'this is a ZIP archive without a 3MF model',
    'unpack it first, or export the part as STL, 3MF or GLB',
  );

/** The root model and those that it takes objects from; only the root may do so (production extension 1.1). */
function readModels(archive: Package, rootName: string): ReadonlyMap<string, Model> {
  const { bytes, name, entries } = archive;
  const models = new Map([[rootName, readModel(archive, rootName)]]);
  const others = new Set(
    [...models.values()]
      .flatMap(placements)
      .flatMap(({ path }) => path ?? [])
      .map(partName),
  );
  others.delete(rootName);
  const sizes = [...others].map((part) => need(entries.get(part), name, part).bytes);
  checkGrowth(
    bytes.length,
    sizes.reduce((sum, size) => sum + size, 0),
    name,
  );
  const root = need(models.get(rootName), name, rootName);
  for (const part of others) {
    const model = readModel(archive, part);
    if (model.isUnitStated && model.unit !== root.unit)
      throw readError(
        'read.damaged',
        `${name}: ${part}`,
        `it is in ${model.unit}, the model in ${root.unit}`,
      );
    models.set(part, model);
  }
  return models;
}

const placements = ({ objects, build }: Model): Placement[] => [
  ...build,
  ...[...objects.values()].flatMap(({ components }) => components),
];

function readModel(archive: Package, part: string): Model {
  const parser = modelParser(`${archive.name}: ${part}`);
  unpack(archive, part, parser.write);
  return parser.end();
}

/** Triangles of one object where one path of components from the build puts them. */
interface PlacedObject {
  readonly object: MeshObject;
  readonly corners: Float64Array;
  /** 4 x 3, row by row, to the unit of the root model */
  readonly matrix: readonly number[];
}

/** Objects in the order of the build. Ends on packages that place objects in themselves or too many times. */
function placedObjects(models: ReadonlyMap<string, Model>, rootName: string, name: string): PlacedObject[] {
  const placed: PlacedObject[] = [];
  let steps = 0,
    triangles = 0;
  const open: (Placement & { readonly model: string; readonly depth: number })[] = [];
  const add = (
    list: readonly Placement[],
    model: string,
    depth: number,
    outer: readonly number[] | null,
  ): void => {
    steps += list.length;
    if (depth > MOST_DEPTH || steps > MOST_PLACED) throw endless(name);
    for (const one of [...list].reverse()) {
      const matrix = outer === null ? one.matrix : product(one.matrix, outer);
      open.push({ ...one, matrix, model: one.path === null ? model : partName(one.path), depth });
    }
  };
  add(need(models.get(rootName), name, rootName).build, rootName, 0, null);
  for (let next = open.pop(); next !== undefined; next = open.pop()) {
    const { objectId, model, depth, matrix } = next;
    const { objects, corners } = need(models.get(model), name, model);
    const object = objects.get(objectId);
    if (object === undefined)
      throw readError('read.damaged', `${name}: ${model}`, `object "${objectId}" is placed, and not there`);
    triangles += object.isSupport ? 0 : object.end - object.first;
    checkTriangles(triangles, name, MOST_TRIANGLES);
    placed.push({ object, corners, matrix });
    if (!object.isSupport) add(object.components, model, depth + 1, matrix);
  }
  return placed;
}

/** Objects placed, and components in components: assemblies have a handful. */
const MOST_PLACED = 100_000;
const MOST_DEPTH = 100;

const endless = (name: string): PartError =>
  readError('read.damaged', name, `an object placed in itself, or more than ${MOST_PLACED} objects placed`);

/** `one` and then `other`, both 4 x 3 acting on rows. */
const product = (one: readonly number[], other: readonly number[]): number[] =>
  Array.from({ length: 12 }, (_, i) => {
    const [row, k] = [3 * Math.floor(i / 3), i % 3];
    const moved = row === 9 ? other[9 + k] : 0;
    return one[row] * other[k] + one[row + 1] * other[3 + k] + one[row + 2] * other[6 + k] + moved;
  });

/** (9 T), wound as before where an object is mirrored, so that its outside stays outside. */
function placedCorners(placed: readonly PlacedObject[]): Float64Array {
  const own = placed.filter(({ object }) => !object.isSupport);
  const total = own.reduce((sum, { object }) => sum + object.end - object.first, 0);
  const out = new Float64Array(9 * total);
  let at = 0;
  for (const { object, corners, matrix: m } of own) {
    const isMirrored = determinant(m) < 0;
    for (let t = object.first; t < object.end; t++) {
      for (let k = 0; k < 3; k++, at += 3) {
        const from = 9 * t + 3 * (isMirrored ? (3 - k) % 3 : k);
        const [x, y, z] = [corners[from], corners[from + 1], corners[from + 2]];
        for (let i = 0; i < 3; i++) out[at + i] = x * m[i] + y * m[3 + i] + z * m[6 + i] + m[9 + i];
      }
    }
  }
  return out;
}

const determinant = (m: readonly number[]): number =>
  m[0] * (m[4] * m[8] - m[5] * m[7]) -
  m[1] * (m[3] * m[8] - m[5] * m[6]) +
  m[2] * (m[3] * m[7] - m[4] * m[6]);

function placedFindings(placed: readonly PlacedObject[], root: Model): Finding[] {
  const findings: Finding[] = [];
  const supports = placed.filter(({ object }) => object.isSupport).length;
  if (supports > 0) {
    const message = `${supports} supports for printing are no part of the shape and were left out`;
    findings.push(finding('read.supports', 'info', message, supports));
  }
  if (root.build.length > 1) {
    const message = `${root.build.length} items of the build are taken together as one part`;
    findings.push(finding('read.several-solids', 'info', message, root.build.length));
  }
  return findings;
}
