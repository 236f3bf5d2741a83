/** Closed rings in plan (looking down the tool axis), each belonging to a region. */
export interface Outlines {
  /** (2 P) mm, y up */
  readonly points: Float64Array;
  /** (P) mm, height of the border above each point; of the nearest one where borders cross in plan */
  readonly heights: Float64Array;
  /** (R + 1) ring r has points start[r] .. start[r + 1], the first not repeated */
  readonly start: Uint32Array;
  /** (R) label of the region; outer rings run counter-clockwise, holes clockwise */
  readonly regionOfRing: Int32Array;
}

/**
 * Borders between regions as curves in space, each shared by the two regions beside it. A chain ends where
 * three regions meet or where a border touches itself; elsewhere it closes on itself.
 */
export interface BorderChains {
  /** (3 P) mm */
  readonly points: Float64Array;
  /** (C + 1) chain c has points start[c] .. start[c + 1]; a closed one does not repeat its first point */
  readonly start: Uint32Array;
  /** (C) 1 if the chain closes on itself */
  readonly closed: Uint8Array;
  /** (C) label on the left, looking along the chain with the outside of the part up; above `right` */
  readonly left: Int32Array;
  /** (C) label on the right; -1: none, or the mesh is open there */
  readonly right: Int32Array;
  /** (2 C) numbers of the meeting points at its first and last point; -1 on closed chains */
  readonly ends: Int32Array;
}
