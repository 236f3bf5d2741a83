import { finding } from '../core/findings.js';
import { growingNumbers } from '../core/growing-numbers.js';
import { readPlyHeader, type PlyElement, type PlyProperty } from './ply-header.js';
import { plyBinary, plyText, type PlyNumbers } from './ply-numbers.js';
import { polygonTriangles } from './polygon-triangles.js';
import { LOST_POINTS, readError } from './read-error.js';
import type { ReadTriangles } from './read-triangles.js';

interface Reading {
  readonly numbers: PlyNumbers;
  readonly name: string;
}

/**
 * Triangles of a PLY, ASCII or binary in either order of bytes: its elements "vertex" (x, y, z) and "face"
 * (vertex_indices, also vertex_index), polygons cut up. Other elements and properties are passed over.
 *
 * @throws {PartError} `read.truncated`, `read.damaged`, `read.non-finite` or `read.no-triangles`
 */
export function readPly(bytes: Uint8Array, name: string): ReadTriangles {
  const { format, elements, end } = readPlyHeader(bytes, name);
  const numbers =
    format === 'ascii' ? plyText(bytes, end) : plyBinary(bytes, end, format === 'binary_little_endian');
  const reading = { numbers, name };
  checkSurface(elements, name);
  const face = growingNumbers(),
    ends = growingNumbers();
  let points: Float64Array = new Float64Array(0);
  for (const element of elements) {
    checkLength(element, reading);
    if (element.name === 'vertex') points = readVertices(element, reading);
    else if (element.name === 'face') {
      readRows(element, reading, (list) => {
        list.forEach(face.push);
        ends.push(face.length());
      });
    } else readRows(element, reading, () => {});
  }
  const corners = polygonTriangles({ points, corners: face.toArray(), ends: ends.toArray() }, name);
  const rest = numbers.left();
  const message = `${rest} bytes after the last element were not used`;
  return { corners, findings: rest === 0 ? [] : [finding('read.trailing-bytes', 'info', message, rest)] };
}

/** Refused by name rather than as a part without triangles. */
function checkSurface(elements: readonly PlyElement[], name: string): void {
  if (elements.some((element) => element.name === 'face' && element.count > 0)) return;
  const isStrips = elements.some((element) => element.name === 'tristrips');
  throw readError(
    'read.no-triangles',
    name,
    isStrips ? 'its surface is stored as strips of triangles' : 'it holds points without faces',
    isStrips ? 'export it with faces' : 'export the part as a mesh with faces',
  );
}

/** Before room is made: counts of a damaged header may be anything. */
function checkLength({ name, count, properties }: PlyElement, reading: Reading): void {
  const { leastBytes, left } = reading.numbers;
  const least = properties.reduce((sum, { countType, type }) => sum + leastBytes(countType ?? type), 0);
  // The last number of a text needs no space behind it.
  if (count * least <= left() + 1) return;
  const what = `the header announces ${count} of "${name}", at least ${count * least} bytes; ${left()} are left`;
  throw readError('read.truncated', reading.name, what);
}

function readVertices(element: PlyElement, reading: Reading): Float64Array {
  const { numbers, name } = reading;
  const slots = element.properties.map((property) =>
    property.countType === null ? ['x', 'y', 'z'].indexOf(property.name) : -1,
  );
  if ([0, 1, 2].some((axis) => !slots.includes(axis)))
    throw readError('read.damaged', name, 'a PLY whose vertices lack x, y or z');
  const points = new Float64Array(3 * element.count);
  for (let v = 0; v < element.count; v++) {
    element.properties.forEach((property, i) => {
      if (slots[i] < 0) readItems(property, reading, v);
      else points[3 * v + slots[i]] = numbers.next(property.type);
    });
    if (numbers.isPastEnd()) throw cutShort(element, v, name);
    const sum = points[3 * v] + points[3 * v + 1] + points[3 * v + 2];
    if (sum - sum !== 0) {
      const what = 'a coordinate that is no finite number';
      throw readError('read.non-finite', `${name}: vertex ${v + 1}`, what, LOST_POINTS);
    }
  }
  return points;
}

const isCorners = ({ name, countType }: PlyProperty): boolean =>
  countType !== null && /^vertex_ind(ices|ex)$/.test(name);

/** Rows of an element; `use` is given the list of corners of each, if it has one. */
function readRows(element: PlyElement, reading: Reading, use: (list: number[]) => void): void {
  const { count, properties } = element;
  if (properties.length === 0) return;
  for (let row = 0; row < count; row++) {
    for (const property of properties) {
      const list = readItems(property, reading, row);
      if (isCorners(property)) use(list);
    }
    if (reading.numbers.isPastEnd()) throw cutShort(element, row, reading.name);
  }
}

/** The numbers of a property in one row: of a list as many as stand before it. */
function readItems({ type, countType, name }: PlyProperty, reading: Reading, row: number): number[] {
  const { numbers } = reading;
  const count = countType === null ? 1 : numbers.next(countType);
  const list: number[] = [];
  for (let i = 0; i < count && !numbers.isPastEnd(); i++) list.push(numbers.next(type));
  if ((!Number.isInteger(count) || count < 0) && !numbers.isPastEnd()) {
    const what = `a list "${name}" whose number of items is none`;
    throw readError('read.damaged', `${reading.name}: row ${row + 1}`, what);
  }
  return list;
}

const cutShort = ({ name, count }: PlyElement, row: number, where: string) =>
  readError(
    'read.truncated',
    where,
    `the header announces ${count} of "${name}", the file ends in number ${row + 1}`,
  );
