import { createRequire } from 'node:module';
import { MeshoptEncoder } from 'meshoptimizer/encoder';
import { indexed } from './formats.js';

const FLOAT = 5126,
  UNSIGNED_SHORT = 5123,
  UNSIGNED_INT = 5125;

/** Set-up coordinates in mm to those of glTF: metres, Y up. */
export const toMetres = (corners: Float64Array): Float64Array => {
  const out = new Float64Array(corners.length);
  for (let at = 0; at < corners.length; at += 3) {
    out[at] = corners[at] / 1000;
    out[at + 1] = corners[at + 2] / 1000;
    out[at + 2] = -corners[at + 1] / 1000;
  }
  return out;
};

/** A glTF of one mesh; its buffer has the two views of points and corners, 4-byte aligned. */
export function gltfOf(corners: Float64Array) {
  const { points, triangles } = indexed(toMetres(corners));
  const positions = Float32Array.from(points.flat()),
    indices = Uint32Array.from(triangles.flat());
  const buffer = new Uint8Array(positions.byteLength + indices.byteLength);
  buffer.set(new Uint8Array(positions.buffer));
  buffer.set(new Uint8Array(indices.buffer), positions.byteLength);
  const bounds = (pick: (...numbers: number[]) => number): number[] =>
    [0, 1, 2].map((i) => pick(...points.map((point) => Math.fround(point[i]))));
  const json = {
    asset: { version: '2.0' },
    scene: 0,
    scenes: [{ nodes: [0] }],
    nodes: [{ mesh: 0 }],
    meshes: [{ primitives: [{ attributes: { POSITION: 0 }, indices: 1 }] }] as object[],
    accessors: [
      {
        bufferView: 0,
        componentType: FLOAT,
        count: points.length,
        type: 'VEC3',
        min: bounds(Math.min),
        max: bounds(Math.max),
      },
      { bufferView: 1, componentType: UNSIGNED_INT, count: indices.length, type: 'SCALAR' },
    ] as object[],
    bufferViews: [
      { buffer: 0, byteLength: positions.byteLength },
      { buffer: 0, byteOffset: positions.byteLength, byteLength: indices.byteLength },
    ] as object[],
    buffers: [{ byteLength: buffer.length }] as object[],
  };
  return { json, buffer, positions, indices };
}

/** A GLB of a JSON and its binary chunk (glTF 2.0, section 4). */
export function glbOf(json: unknown, binary: Uint8Array): Uint8Array {
  const text = new TextEncoder().encode(JSON.stringify(json));
  const [jsonBytes, binaryBytes] = [text, binary].map(({ length }) => Math.ceil(length / 4) * 4);
  const bytes = new Uint8Array(28 + jsonBytes + binaryBytes).fill(32, 20, 20 + jsonBytes);
  const view = new DataView(bytes.buffer);
  [0x46546c67, 2, bytes.length, jsonBytes, 0x4e4f534a].forEach((word, i) =>
    view.setUint32(4 * i, word, true),
  );
  bytes.set(text, 20);
  view.setUint32(20 + jsonBytes, binaryBytes, true);
  view.setUint32(24 + jsonBytes, 0x004e4942, true);
  bytes.set(binary, 28 + jsonBytes);
  return bytes;
}

export function glbFile(corners: Float64Array): Uint8Array {
  const { json, buffer } = gltfOf(corners);
  return glbOf(json, buffer);
}

/** GLB of points as 16-bit whole numbers of `stepM` metres from the least on, which its node scales and moves. */
export function quantizedGlb(corners: Float64Array, stepM: number): Uint8Array {
  const { json, positions, indices } = gltfOf(corners);
  const least = [0, 1, 2].map((k) => Math.min(...positions.filter((_, i) => i % 3 === k)));
  // Rows of 8 bytes: whole words, as the extension has it.
  const rows = new Uint16Array((4 * positions.length) / 3);
  positions.forEach((x, i) => {
    rows[4 * Math.floor(i / 3) + (i % 3)] = Math.round((x - least[i % 3]) / stepM);
  });
  const binary = new Uint8Array(rows.byteLength + indices.byteLength);
  binary.set(new Uint8Array(rows.buffer));
  binary.set(new Uint8Array(indices.buffer), rows.byteLength);
  const most = [0, 1, 2].map((k) => Math.max(...rows.filter((_, i) => i % 4 === k)));
  const [points, list] = json.accessors;
  return glbOf(
    {
      ...json,
      extensionsUsed: ['KHR_mesh_quantization'],
      extensionsRequired: ['KHR_mesh_quantization'],
      nodes: [{ mesh: 0, scale: [stepM, stepM, stepM], translation: least }],
      accessors: [{ ...points, componentType: UNSIGNED_SHORT, min: [0, 0, 0], max: most }, list],
      bufferViews: [
        { buffer: 0, byteLength: rows.byteLength, byteStride: 8 },
        { buffer: 0, byteOffset: rows.byteLength, byteLength: indices.byteLength },
      ],
      buffers: [{ byteLength: binary.length }],
    },
    binary,
  );
}

/** GLB whose views are packed by meshopt, with an empty buffer in their place as the extension has it. */
export async function meshoptGlb(corners: Float64Array, extension = 'EXT_meshopt_compression') {
  await MeshoptEncoder.ready;
  const { json, positions, indices } = gltfOf(corners);
  const packed = [
    MeshoptEncoder.encodeGltfBuffer(new Uint8Array(positions.buffer), positions.length / 3, 12, 'ATTRIBUTES'),
    MeshoptEncoder.encodeGltfBuffer(new Uint8Array(indices.buffer), indices.length, 4, 'INDICES'),
  ];
  const start = Math.ceil(packed[0].length / 4) * 4;
  const binary = new Uint8Array(start + packed[1].length);
  binary.set(packed[0]);
  binary.set(packed[1], start);
  const [points, list] = json.bufferViews;
  const views = [
    {
      ...points,
      buffer: 1,
      extensions: {
        [extension]: {
          buffer: 0,
          byteLength: packed[0].length,
          byteStride: 12,
          count: positions.length / 3,
          mode: 'ATTRIBUTES',
        },
      },
    },
    {
      ...list,
      buffer: 1,
      extensions: {
        [extension]: {
          buffer: 0,
          byteOffset: start,
          byteLength: packed[1].length,
          byteStride: 4,
          count: indices.length,
          mode: 'INDICES',
        },
      },
    },
  ];
  const fallback = { ...json.buffers[0], extensions: { [extension]: { fallback: true } } };
  const used = { extensionsUsed: [extension], extensionsRequired: [extension] };
  const changed = {
    ...json,
    ...used,
    bufferViews: views,
    buffers: [{ byteLength: binary.length }, fallback],
  };
  return { json: changed, binary, glb: glbOf(changed, binary) };
}

interface DracoBuilder {
  AddFacesToMesh(mesh: object, faces: number, indices: Uint32Array): void;
  AddFloatAttributeToMesh(
    mesh: object,
    type: number,
    points: number,
    size: number,
    data: Float32Array,
  ): number;
}
interface DracoEncoder {
  SetAttributeQuantization(type: number, bits: number): void;
  EncodeMeshToDracoBuffer(mesh: object, out: object): number;
}

/** GLB whose mesh is packed by Draco, its points to so many bits of the largest extent. */
export async function dracoGlb(corners: Float64Array, bits: number) {
  const draco = await createRequire(import.meta.url)('draco3dgltf').createEncoderModule({});
  const { json, positions, indices } = gltfOf(corners);
  const mesh = new draco.Mesh();
  const builder: DracoBuilder = new draco.MeshBuilder();
  builder.AddFacesToMesh(mesh, indices.length / 3, indices);
  const id = builder.AddFloatAttributeToMesh(mesh, draco.POSITION, positions.length / 3, 3, positions);
  const encoder: DracoEncoder = new draco.Encoder();
  encoder.SetAttributeQuantization(draco.POSITION, bits);
  const out = new draco.DracoInt8Array();
  const length = encoder.EncodeMeshToDracoBuffer(mesh, out);
  const binary = Uint8Array.from({ length }, (_, i) => out.GetValue(i));
  const [points, list] = json.accessors.map((accessor) => ({ ...accessor, bufferView: undefined }));
  const packed = { bufferView: 0, attributes: { POSITION: id } };
  const primitive = {
    attributes: { POSITION: 0 },
    indices: 1,
    extensions: { KHR_draco_mesh_compression: packed },
  };
  const used = ['KHR_draco_mesh_compression'];
  const changed = {
    ...json,
    extensionsUsed: used,
    extensionsRequired: used,
    meshes: [{ primitives: [primitive] }],
    accessors: [points, list],
    bufferViews: [{ buffer: 0, byteLength: binary.length }],
    buffers: [{ byteLength: binary.length }],
  };
  return { json: changed, binary, glb: glbOf(changed, binary) };
}
