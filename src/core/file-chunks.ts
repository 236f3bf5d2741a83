/** A file longer than memory should hold, read piece by piece from its beginning. */
export interface FileChunks {
  /** bytes in all */
  readonly length: number;
  /** Fills in the bytes that come next and tells how many; fewer than there is room for at the end of the file alone. */
  readonly read: (into: Uint8Array) => number;
  /** Of all that was read, lower-case hexadecimal; ends the reading. */
  readonly sha256: () => string;
}
