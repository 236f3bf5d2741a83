import type { GLTF } from '@gltf-transform/core';
import { checkGrowth } from './check-growth.js';
import type { DracoMesh } from './draco-mesh.js';

/** A glTF and the bytes of its buffers, by their number. */
export interface GltfData {
  readonly json: GLTF.IGLTF;
  readonly buffers: readonly (Uint8Array | null)[];
}

/** Buffer views packed by EXT_meshopt_compression, or by its later name. */
const MESHOPT = ['EXT_meshopt_compression', 'KHR_meshopt_compression'];
const DRACO = 'KHR_draco_mesh_compression';
const MODES = ['ATTRIBUTES', 'TRIANGLES', 'INDICES'];
const FILTERS = ['NONE', 'OCTAHEDRAL', 'QUATERNION', 'EXPONENTIAL', 'COLOR'];
const UNSIGNED_INT = 5125,
  TRIANGLES = 4;

/**
 * The same glTF with what EXT_meshopt_compression and KHR_draco_mesh_compression pack unpacked into further
 * buffers, so that whoever reads it need not know of them.
 *
 * @throws {PartError} `read.too-large`; any other error if the packed bytes are damaged
 */
export async function unpackedGltf(data: GltfData, name: string): Promise<GltfData> {
  const packedBytes = data.buffers.reduce((sum, buffer) => sum + (buffer?.length ?? 0), 0);
  let bytes = 0;
  const grow = (by: number): void => {
    bytes += by;
    checkGrowth(packedBytes, bytes, name);
  };
  return unpackPrimitives(await unpackViews(data, grow), grow);
}

interface PackedView {
  readonly buffer: number;
  readonly byteOffset?: number;
  readonly byteLength: number;
  readonly byteStride: number;
  readonly count: number;
  readonly mode: string;
  readonly filter?: string;
}

function packedView({ extensions = {} }: GLTF.IBufferView): PackedView | undefined {
  const key = MESHOPT.find((one) => Object.hasOwn(extensions, one));
  return key === undefined ? undefined : (extensions[key] as PackedView);
}

async function unpackViews({ json, buffers }: GltfData, grow: (bytes: number) => void): Promise<GltfData> {
  const views = json.bufferViews ?? [];
  if (!views.some(packedView)) return { json, buffers };
  const { MeshoptDecoder } = await import('meshoptimizer/decoder');
  await MeshoptDecoder.ready;
  const all = [...buffers];
  const unpacked = views.map((view): GLTF.IBufferView => {
    const packed = packedView(view);
    if (packed === undefined) return view;
    const { count, byteStride, mode, filter = 'NONE' } = packed;
    if (!MODES.includes(mode) || !FILTERS.includes(filter))
      throw new RangeError(`packed as ${mode} with the filter ${filter}`);
    if (![count, byteStride].every((one) => Number.isInteger(one) && one >= 0))
      throw new RangeError(`${count} items of ${byteStride} bytes`);
    grow(count * byteStride);
    const target = new Uint8Array(count * byteStride);
    MeshoptDecoder.decodeGltfBuffer(target, count, byteStride, bytesOf(buffers, packed), mode, filter);
    all.push(target);
    const { extensions: _packed, ...plain } = view;
    return { ...plain, buffer: all.length - 1, byteOffset: 0, byteLength: target.length };
  });
  return { json: withBuffers({ ...json, bufferViews: unpacked }, all), buffers: all };
}

/** @throws {RangeError} where the bytes are not all there */
function bytesOf(
  buffers: readonly (Uint8Array | null)[],
  { buffer, byteOffset = 0, byteLength }: Pick<PackedView, 'buffer' | 'byteOffset' | 'byteLength'>,
): Uint8Array {
  const bytes = buffers[buffer] ?? new Uint8Array(0);
  if (!(byteOffset >= 0 && byteLength >= 0 && byteOffset + byteLength <= bytes.length))
    throw new RangeError(`bytes ${byteOffset} to ${byteOffset + byteLength} of ${bytes.length}`);
  return bytes.subarray(byteOffset, byteOffset + byteLength);
}

const withBuffers = (json: GLTF.IGLTF, buffers: readonly (Uint8Array | null)[]): GLTF.IGLTF => ({
  ...json,
  buffers: buffers.map((bytes, i) => ({ ...json.buffers?.[i], byteLength: bytes?.length ?? 0 })),
});

interface PackedPrimitive {
  readonly bufferView: number;
  readonly attributes: Readonly<Record<string, number>>;
}

const packedPrimitive = ({ extensions }: GLTF.IMeshPrimitive): PackedPrimitive | undefined =>
  extensions?.[DRACO] as PackedPrimitive | undefined;

async function unpackPrimitives(
  { json, buffers }: GltfData,
  grow: (bytes: number) => void,
): Promise<GltfData> {
  const meshes = json.meshes ?? [];
  if (!meshes.some(({ primitives }) => primitives.some(packedPrimitive))) return { json, buffers };
  const { dracoDecoder } = await import('./draco-mesh.js');
  const decode = await dracoDecoder();
  const all = [...buffers],
    views = [...(json.bufferViews ?? [])],
    accessors = [...(json.accessors ?? [])];
  const add = (bytes: Uint8Array, accessor: GLTF.IAccessor): number => {
    all.push(bytes);
    views.push({ buffer: all.length - 1, byteLength: bytes.length });
    const { sparse: _sparse, ...plain } = accessor;
    return accessors.push({ ...plain, bufferView: views.length - 1, byteOffset: 0 }) - 1;
  };
  const unpack = (primitive: GLTF.IMeshPrimitive): GLTF.IMeshPrimitive => {
    const packed = packedPrimitive(primitive);
    if (packed === undefined) return primitive;
    const position = accessors[primitive.attributes.POSITION];
    const attribute = { id: packed.attributes.POSITION, componentType: position.componentType };
    const decoded = decode(bytesOf(buffers, views[packed.bufferView]), attribute);
    checkCounts(
      decoded,
      position,
      primitive.indices === undefined ? undefined : accessors[primitive.indices],
    );
    grow(decoded.points.length + decoded.indices.length);
    const indices = {
      componentType: UNSIGNED_INT,
      count: decoded.indices.length / 4,
      type: 'SCALAR',
    } as const;
    return {
      // Decoded strips come as triangles.
      mode: TRIANGLES,
      attributes: { POSITION: add(decoded.points, position) },
      indices: add(decoded.indices, indices),
    };
  };
  const unpacked = meshes.map((mesh) => ({ ...mesh, primitives: mesh.primitives.map(unpack) }));
  const plain = { ...json, meshes: unpacked, bufferViews: views, accessors };
  return { json: withBuffers(plain, all), buffers: all };
}

/** @throws {RangeError} where the file announces another mesh than is packed in it */
function checkCounts(
  { points, pointBytes, indices }: DracoMesh,
  position: GLTF.IAccessor,
  corners: GLTF.IAccessor | undefined,
): void {
  const [pointCount, cornerCount] = [points.length / pointBytes, indices.length / 4];
  if (pointCount !== position.count)
    throw new RangeError(`${pointCount} of ${position.count} points unpacked`);
  if (corners !== undefined && cornerCount !== corners.count)
    throw new RangeError(`${cornerCount} of ${corners.count} corners unpacked`);
}
