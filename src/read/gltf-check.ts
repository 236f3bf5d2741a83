import type { GLTF } from '@gltf-transform/core';
import { z } from 'zod';
import { checkInput } from '../core/check-input.js';
import type { PartError } from '../core/errors.js';
import { MOST_UNPACKED_BYTES } from '../core/limits.js';
import { readError } from './read-error.js';

const AGAIN = 'export or copy it again';

const index = z.int().min(0);
const count = z.int().min(1);
const numbers = (length: number) => z.array(z.number()).length(length).optional();

/** What is read of a glTF 2.0 (its section 5), in the types that the format gives it. */
const gltfSchema = z.looseObject({
  extensionsUsed: z.array(z.string()).optional(),
  extensionsRequired: z.array(z.string()).optional(),
  buffers: z.array(z.looseObject({ byteLength: count, uri: z.string().optional() })).optional(),
  bufferViews: z
    .array(
      z.looseObject({
        buffer: index,
        byteOffset: index.optional(),
        byteLength: count,
        byteStride: z.int().min(4).max(252).optional(),
      }),
    )
    .optional(),
  accessors: z
    .array(
      z.looseObject({
        bufferView: index.optional(),
        byteOffset: index.optional(),
        componentType: z.literal([5120, 5121, 5122, 5123, 5125, 5126]),
        count,
        type: z.enum(['SCALAR', 'VEC2', 'VEC3', 'VEC4', 'MAT2', 'MAT3', 'MAT4']),
        sparse: z
          .looseObject({
            count,
            indices: z.looseObject({
              bufferView: index,
              byteOffset: index.optional(),
              componentType: z.literal([5121, 5123, 5125]),
            }),
            values: z.looseObject({ bufferView: index, byteOffset: index.optional() }),
          })
          .optional(),
      }),
    )
    .optional(),
  meshes: z
    .array(
      z.looseObject({
        primitives: z.array(
          z.looseObject({
            attributes: z.record(z.string(), index),
            indices: index.optional(),
            mode: z.int().min(0).max(6).optional(),
          }),
        ),
      }),
    )
    .optional(),
  nodes: z
    .array(
      z.looseObject({
        mesh: index.optional(),
        children: z.array(index).optional(),
        matrix: numbers(16),
        translation: numbers(3),
        rotation: numbers(4),
        scale: numbers(3),
      }),
    )
    .optional(),
  scenes: z.array(z.looseObject({ nodes: z.array(index).optional() })).optional(),
  scene: index.optional(),
});

/**
 * Checks that every entry that is read has the type which the format gives it.
 *
 * @throws {PartError} `read.invalid`, naming the entry
 */
export function checkGltfTypes(json: unknown, name: string): void {
  checkInput(gltfSchema, json, name, 'read', AGAIN);
}

/** Assemblies are nested a few dozen deep. */
const MOST_LEVELS = 1000;
const COMPONENT_BYTES: Readonly<Record<number, number>> = {
  5120: 1,
  5121: 1,
  5122: 2,
  5123: 2,
  5125: 4,
  5126: 4,
};
const COMPONENTS = { SCALAR: 1, VEC2: 2, VEC3: 3, VEC4: 4, MAT2: 4, MAT3: 9, MAT4: 16 } as const;

/**
 * Checks that whatever an entry names is there: indices, and bytes, so that nothing is read past the end of a
 * buffer and no number in the file makes it larger than its bytes.
 *
 * @param bytesOf bytes at hand of the buffer of that index
 * @throws {PartError} `read.truncated` or `read.damaged`, naming the entry
 */
export function checkGltfBounds(json: GLTF.IGLTF, bytesOf: (buffer: number) => number, name: string): void {
  const check = { json, name };
  (json.buffers ?? []).forEach(({ byteLength }, i) => {
    const got = bytesOf(i);
    if (got < byteLength) {
      const what = `${byteLength} bytes announced, ${got} found`;
      throw readError('read.truncated', `${name}: buffers.${i}`, what, AGAIN);
    }
  });
  (json.bufferViews ?? []).forEach((view, i) => {
    const at = `bufferViews.${i}`;
    const { byteLength } = entry(check, 'buffers', view.buffer, at);
    fits(check, at, (view.byteOffset ?? 0) + view.byteLength, byteLength);
  });
  checkAccessors(check);
  checkScene(check);
}

interface Check {
  readonly json: GLTF.IGLTF;
  readonly name: string;
}
type Lists = Required<
  Pick<GLTF.IGLTF, 'buffers' | 'bufferViews' | 'accessors' | 'meshes' | 'nodes' | 'scenes'>
>;

const damaged = ({ name }: Check, at: string, what: string): PartError =>
  readError('read.damaged', `${name}: ${at}`, what, AGAIN);

/** The entry of a list that another one names. */
function entry<K extends keyof Lists>(check: Check, list: K, i: number, at: string): Lists[K][number] {
  const lists: Partial<Lists> = check.json;
  const entries = lists[list] ?? [];
  if (i >= entries.length) throw damaged(check, at, `${list}.${i} named, ${entries.length} there`);
  return entries[i];
}

function fits(check: Check, at: string, end: number, length: number): void {
  if (end > length) throw damaged(check, at, `its bytes end at ${end}, behind the ${length} there are`);
}

function checkAccessors(check: Check): void {
  const { accessors = [], buffers = [] } = check.json;
  const held = buffers.reduce((sum, { byteLength }) => sum + byteLength, 0);
  let unpacked = 0;
  accessors.forEach((accessor, i) => {
    const at = `accessors.${i}`;
    const { count: elements, sparse } = accessor;
    const bytes = COMPONENT_BYTES[accessor.componentType] * COMPONENTS[accessor.type];
    // Elements that no view holds are zeros, which take no bytes in the file.
    if (elements > held) throw damaged(check, at, `${elements} elements, but ${held} bytes in all buffers`);
    if (accessor.bufferView !== undefined)
      checkView(check, at, { ...accessor, bufferView: accessor.bufferView }, elements, bytes);
    if (sparse !== undefined) {
      if (sparse.count > elements)
        throw damaged(check, at, `${sparse.count} of its ${elements} elements replaced`);
      const { byteOffset } = accessor;
      const indexBytes = COMPONENT_BYTES[sparse.indices.componentType];
      // An offset that is left out is that of the accessor to the library.
      checkView(check, `${at}.sparse`, { byteOffset, ...sparse.indices }, sparse.count, indexBytes);
      checkView(check, `${at}.sparse`, { byteOffset, ...sparse.values }, sparse.count, bytes);
    }
    unpacked += elements * bytes;
  });
  if (unpacked > MOST_UNPACKED_BYTES) {
    const what = `${(unpacked / 2 ** 30).toFixed(1)} GiB when unpacked, at most 2 GiB are read`;
    throw readError('read.too-large', check.name, what, 'export it coarser, or in parts');
  }
}

function checkView(
  check: Check,
  at: string,
  { bufferView, byteOffset = 0 }: { readonly bufferView: number; readonly byteOffset?: number | undefined },
  elements: number,
  bytes: number,
): void {
  const { byteStride = bytes, byteLength } = entry(check, 'bufferViews', bufferView, at);
  fits(check, at, byteOffset + byteStride * (elements - 1) + bytes, byteLength);
}

/** What the scene is made of, and that its nodes make trees. */
function checkScene(check: Check): void {
  const { meshes = [], nodes = [], scenes = [], scene } = check.json;
  meshes.forEach(({ primitives }, i) => {
    for (const { attributes, indices } of primitives) {
      const at = `meshes.${i}`;
      if (indices !== undefined) typed(check, indices, 'SCALAR', at);
      if (attributes.POSITION !== undefined) typed(check, attributes.POSITION, 'VEC3', at);
    }
  });
  const parents = new Uint8Array(nodes.length);
  nodes.forEach(({ mesh, children = [] }, i) => {
    const at = `nodes.${i}`;
    if (mesh !== undefined) entry(check, 'meshes', mesh, at);
    for (const child of children) {
      entry(check, 'nodes', child, at);
      if (parents[child]++ > 0) throw damaged(check, `nodes.${child}`, 'it hangs from two nodes');
    }
  });
  checkDepth(check, parents);
  scenes.forEach(({ nodes: roots = [] }, i) => {
    for (const root of roots) {
      entry(check, 'nodes', root, `scenes.${i}`);
      if (parents[root] > 0) throw damaged(check, `scenes.${i}`, `nodes.${root} hangs from another node`);
    }
  });
  if (scene !== undefined) entry(check, 'scenes', scene, 'scene');
}

/** Nodes, each of one parent at most, hang from roots: level by level all are met unless some form a ring. */
function checkDepth(check: Check, parents: Uint8Array): void {
  const nodes = check.json.nodes ?? [];
  let level = nodes.flatMap((_, i) => (parents[i] === 0 ? [i] : []));
  let met = level.length;
  for (let depth = 1; level.length > 0; depth++) {
    if (depth > MOST_LEVELS) {
      throw damaged(check, `nodes.${level[0]}`, `more than ${MOST_LEVELS} nodes above each other`);
    }
    level = level.flatMap((i) => nodes[i].children ?? []);
    met += level.length;
  }
  if (met < nodes.length) throw damaged(check, 'nodes', 'some hang from each other in a ring');
}

function typed(check: Check, i: number, wanted: string, at: string): void {
  const { type } = entry(check, 'accessors', i, at);
  if (type !== wanted) throw damaged(check, at, `accessors.${i} is a ${type}, ${wanted} expected`);
}
