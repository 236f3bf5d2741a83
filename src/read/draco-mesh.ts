import createDecoderModule from 'draco3dgltf/draco_decoder_gltf_nodejs.js';

/** A mesh as Draco packed it. */
export interface DracoMesh {
  /** three numbers per point, of the type asked for */
  readonly points: Uint8Array;
  readonly pointBytes: number;
  /** three uint32 per triangle */
  readonly indices: Uint8Array;
}

/** Bytes of a number by the type of its accessor (glTF 2.0, 3.6.2.2). */
const BYTES_OF: Readonly<Record<number, number>> = { 5120: 1, 5121: 1, 5122: 2, 5123: 2, 5126: 4 };

/**
 * Loads the decoder of KHR_draco_mesh_compression.
 *
 * @returns decodes one mesh, its points from the attribute with that id; throws whatever is wrong with the bytes
 */
export async function dracoDecoder() {
  const draco = await createDecoderModule({});
  const types: Readonly<Record<number, number>> = {
    5120: draco.DT_INT8,
    5121: draco.DT_UINT8,
    5122: draco.DT_INT16,
    5123: draco.DT_UINT16,
    5126: draco.DT_FLOAT32,
  };

  /** What a function of the decoder writes into so many bytes of its memory. */
  function written(length: number, write: (length: number, at: number) => boolean): Uint8Array {
    const at = draco._malloc(length);
    try {
      if (!write(length, at)) throw new RangeError('the packed mesh lacks its points or triangles');
      return draco.HEAPU8.slice(at, at + length);
    } finally {
      draco._free(at);
    }
  }

  return (bytes: Uint8Array, { id, componentType }: { id: number; componentType: number }): DracoMesh => {
    const decoder = new draco.Decoder(),
      mesh = new draco.Mesh();
    try {
      const packed = new Int8Array(bytes.buffer, bytes.byteOffset, bytes.length);
      const status = decoder.DecodeArrayToMesh(packed, packed.length, mesh);
      if (!status.ok()) throw new RangeError(status.error_msg());
      const attribute = decoder.GetAttributeByUniqueId(mesh, id);
      if (attribute.ptr === 0 || attribute.num_components() !== 3 || !(componentType in types))
        throw new RangeError(`no points of type ${componentType} packed under ${id}`);
      const pointBytes = 3 * BYTES_OF[componentType];
      return {
        points: written(pointBytes * mesh.num_points(), (length, at) =>
          decoder.GetAttributeDataArrayForAllPoints(mesh, attribute, types[componentType], length, at),
        ),
        pointBytes,
        indices: written(12 * mesh.num_faces(), (length, at) =>
          decoder.GetTrianglesUInt32Array(mesh, length, at),
        ),
      };
    } finally {
      draco.destroy(mesh);
      draco.destroy(decoder);
    }
  };
}
