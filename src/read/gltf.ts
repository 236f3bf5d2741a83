import { WebIO, type Document, type Node, type Primitive } from '@gltf-transform/core';
import { messageOf, PartError } from '../core/errors.js';
import { checkTriangles, LOST_POINTS, readError } from './read-error.js';
import { finding, type Finding } from '../core/findings.js';
import { checkGltfBounds } from './gltf-check.js';
import { glbChunks } from './glb-chunks.js';
import { gltfBuffers } from './gltf-buffers.js';
import { unpackedGltf, type GltfData } from './gltf-unpacked.js';
import { geometryOnly, leftOutFindings, parseGltfJson } from './gltf-json.js';
import type { ReadOptions } from './read-part.js';
import type { ReadTriangles } from './read-triangles.js';

export interface GltfOptions extends Pick<ReadOptions, 'name' | 'readBeside'> {
  /** GLB rather than JSON. */
  readonly isBinary: boolean;
  readonly maxTriangles: number;
}

const TRIANGLES = 4,
  TRIANGLE_STRIP = 5,
  TRIANGLE_FAN = 6;

/**
 * Triangles of a glTF 2.0 file: its default scene, every node's transform applied, winding kept outward under
 * mirroring, Y up turned to Z up as (x, y, z) to (x, -z, y).
 *
 * @throws {PartError} `read.truncated`, `read.damaged`, `read.invalid`, `read.too-large`, `read.missing-resource`,
 *   `read.external-address`, `read.unsupported-extension`, `read.unknown-format`, `read.too-many-triangles`
 */
export async function readGltf(bytes: Uint8Array, options: GltfOptions): Promise<ReadTriangles> {
  const { name, readBeside } = options;
  const chunks = options.isBinary ? glbChunks(bytes, name) : { json: bytes, binary: null };
  try {
    const json = parseGltfJson(chunks.json, name);
    const buffers = await gltfBuffers(json, { name, binary: chunks.binary, readBeside });
    const unpacked = await unpackedGltf({ json, buffers }, name);
    checkGltfBounds(unpacked.json, (i) => unpacked.buffers[i]?.length ?? 0, name);
    const document = await new WebIO().readJSON(addressed(unpacked));
    const { corners, findings } = sceneTriangles(document, options);
    return {
      corners,
      stated: { unit: 'm', by: 'format' },
      findings: [...findings, ...leftOutFindings(json)],
    };
  } catch (error) {
    if (error instanceof PartError) throw error;
    throw readError('read.damaged', name, `a glTF that contradicts itself (${messageOf(error)})`);
  }
}

/** What the library reads: each buffer under an address of ours, so that it follows none of the file's. */
function addressed({ json, buffers }: GltfData) {
  const resources: Record<string, Uint8Array<ArrayBuffer>> = {};
  const named = buffers.map((bytes, i) => {
    const uri = `buffer-${i}`;
    resources[uri] = aligned(bytes ?? new Uint8Array(0));
    return { uri, byteLength: resources[uri].length };
  });
  return { json: geometryOnly({ ...json, buffers: named }), resources };
}

/** Bytes in a buffer of their own kind that typed arrays can be laid over. */
function aligned(bytes: Uint8Array): Uint8Array<ArrayBuffer> {
  return bytes.buffer instanceof ArrayBuffer && bytes.byteOffset % 4 === 0
    ? new Uint8Array(bytes.buffer, bytes.byteOffset, bytes.length)
    : bytes.slice();
}

interface Placed {
  readonly primitive: Primitive;
  readonly matrix: readonly number[];
  readonly triangles: number;
}

function sceneTriangles(document: Document, { name, maxTriangles }: GltfOptions): ReadTriangles {
  const placed: Placed[] = [];
  let skipped = 0;
  for (const node of sceneNodes(document)) {
    for (const primitive of node.getMesh()?.listPrimitives() ?? []) {
      const triangles = triangleCount(primitive);
      if (triangles < 0 || primitive.getAttribute('POSITION') === null) skipped++;
      else if (triangles > 0) placed.push({ primitive, matrix: node.getWorldMatrix(), triangles });
    }
  }
  const triangles = placed.reduce((sum, one) => sum + one.triangles, 0);
  checkTriangles(triangles, name, maxTriangles);
  const corners = new Float64Array(9 * triangles);
  let at = 0;
  for (const one of placed) at = addPrimitive(one, name, corners, at);
  return { corners, findings: skippedFindings(skipped) };
}

function skippedFindings(count: number): Finding[] {
  const message = `${count} lists of lines or points in the file have no surface and were left out`;
  return count === 0 ? [] : [finding('read.no-surface', 'info', message, count)];
}

function sceneNodes(document: Document): Node[] {
  const root = document.getRoot();
  const scene = root.getDefaultScene() ?? root.listScenes()[0];
  if (scene === undefined) return root.listNodes();
  const nodes: Node[] = [];
  scene.traverse((node) => nodes.push(node));
  return nodes;
}

/** Triangles of a primitive; -1 if it is made of lines or points. */
function triangleCount(primitive: Primitive): number {
  const count = (primitive.getIndices() ?? primitive.getAttribute('POSITION'))?.getCount() ?? 0;
  switch (primitive.getMode()) {
    case TRIANGLES:
      return Math.floor(count / 3);
    case TRIANGLE_STRIP:
    case TRIANGLE_FAN:
      return Math.max(0, count - 2);
    default:
      return -1;
  }
}

/** Appends a primitive's triangles to `corners` from `at` on; returns where the next one begins. */
function addPrimitive(placed: Placed, name: string, corners: Float64Array, start: number): number {
  const { primitive, matrix, triangles } = placed;
  const points = worldPoints(primitive, matrix, name);
  const indices = primitive.getIndices()?.getArray() ?? null;
  const vertices = points.length / 3;
  const mode = primitive.getMode();
  const mirrored = determinant(matrix) < 0;
  let at = start;
  for (let t = 0; t < triangles; t++) {
    const first = mode === TRIANGLES ? 3 * t : mode === TRIANGLE_FAN ? 0 : t;
    const second = mode === TRIANGLES ? 3 * t + 1 : t + 1;
    // Every other triangle of a strip runs the other way round; mirroring turns all.
    const turned = mirrored !== (mode === TRIANGLE_STRIP && t % 2 === 1);
    for (let k = 0; k < 3; k++) {
      const corner = k === 0 ? first : (k === 1) !== turned ? second : second + 1;
      const v = indices === null ? corner : indices[corner];
      if (v >= vertices) throw new RangeError(`vertex ${v} of ${vertices}`);
      for (let i = 0; i < 3; i++) corners[at++] = points[3 * v + i];
    }
  }
  return at;
}

/** (3 V) Z up. */
function worldPoints(primitive: Primitive, m: readonly number[], name: string): Float64Array {
  const accessor = primitive.getAttribute('POSITION');
  const count = accessor?.getCount() ?? 0;
  const points = new Float64Array(3 * count);
  const element = [0, 0, 0];
  for (let v = 0; v < count; v++) {
    accessor?.getElement(v, element);
    const [x, y, z] = element;
    const wx = m[0] * x + m[4] * y + m[8] * z + m[12];
    const wy = m[1] * x + m[5] * y + m[9] * z + m[13];
    const wz = m[2] * x + m[6] * y + m[10] * z + m[14];
    const sum = wx + wy + wz;
    if (sum - sum !== 0) {
      throw readError(
        'read.non-finite',
        `${name}: vertex ${v + 1}`,
        'a coordinate that is no finite number',
        LOST_POINTS,
      );
    }
    points[3 * v] = wx;
    points[3 * v + 1] = 0 - wz;
    points[3 * v + 2] = wy;
  }
  return points;
}

function determinant(m: readonly number[]): number {
  return (
    m[0] * (m[5] * m[10] - m[6] * m[9]) -
    m[4] * (m[1] * m[10] - m[2] * m[9]) +
    m[8] * (m[1] * m[6] - m[2] * m[5])
  );
}
