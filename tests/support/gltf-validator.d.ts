declare module 'gltf-validator' {
  /** Khronos' own validator of glTF 2.0. */
  export function validateBytes(bytes: Uint8Array): Promise<{
    readonly issues: {
      readonly numErrors: number;
      readonly numWarnings: number;
      readonly numInfos: number;
      readonly numHints: number;
      readonly messages: readonly {
        readonly code: string;
        readonly message: string;
        readonly pointer: string;
      }[];
    };
    readonly info: {
      readonly totalVertexCount: number;
      readonly totalTriangleCount: number;
      readonly drawCallCount: number;
    };
  }>;
}
