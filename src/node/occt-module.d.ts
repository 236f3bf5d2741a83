/** What is used of the optional package that reads STEP, which comes without types. */
declare module 'occt-import-js' {
  interface Options {
    readonly linearUnit: 'millimeter';
    readonly linearDeflectionType: 'absolute_value';
    readonly linearDeflection: number;
    readonly angularDeflection: number;
  }
  interface Mesh {
    readonly attributes: { readonly position: { readonly array: readonly number[] } };
    readonly index: { readonly array: readonly number[] };
  }
  interface Importer {
    ReadStepFile(
      bytes: Uint8Array,
      options: Options,
    ): { readonly success: boolean; readonly meshes?: readonly Mesh[] };
  }
  const load: (options: {
    readonly print: (line: string) => void;
    readonly printErr: (line: string) => void;
  }) => Promise<Importer>;
  export default load;
}
