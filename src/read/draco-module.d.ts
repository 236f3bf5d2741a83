/** What is used of the decoder, which comes without types. Objects of it live in its own memory until destroyed. */
declare module 'draco3dgltf/draco_decoder_gltf_nodejs.js' {
  interface Status {
    ok(): boolean;
    error_msg(): string;
  }
  interface Mesh {
    num_faces(): number;
    num_points(): number;
  }
  interface Attribute {
    readonly ptr: number;
    num_components(): number;
  }
  interface Decoder {
    DecodeArrayToMesh(bytes: Int8Array, length: number, mesh: Mesh): Status;
    GetAttributeByUniqueId(mesh: Mesh, id: number): Attribute;
    GetAttributeDataArrayForAllPoints(
      mesh: Mesh,
      attribute: Attribute,
      type: number,
      bytes: number,
      at: number,
    ): boolean;
    GetTrianglesUInt32Array(mesh: Mesh, bytes: number, at: number): boolean;
  }
  interface DecoderModule {
    readonly Decoder: new () => Decoder;
    readonly Mesh: new () => Mesh;
    readonly DT_INT8: number;
    readonly DT_UINT8: number;
    readonly DT_INT16: number;
    readonly DT_UINT16: number;
    readonly DT_FLOAT32: number;
    readonly HEAPU8: Uint8Array;
    _malloc(bytes: number): number;
    _free(at: number): void;
    destroy(object: object): void;
  }
  const createDecoderModule: (options: object) => Promise<DecoderModule>;
  export default createDecoderModule;
}
