/** A level face whose area follows from the construction, without facets. */
export interface LevelFace {
  readonly name: string;
  readonly zMm: number;
  readonly areaMm2: number;
}

/** What is known of a model before anything is measured. */
export interface KnownFigures {
  readonly blockMm: readonly [number, number, number];
  /** Wall drafts from vertical. */
  readonly draftDeg: readonly number[];
  /** Valley fillets in section: what a ball must fit into. */
  readonly filletRadiiMm: readonly number[];
  /** Rounded edges. */
  readonly edgeRadiiMm: readonly number[];
  /** Smallest radius, in plan at the face, of an inner corner or bore. */
  readonly smallestPlanRadiusMm: number;
  /** Narrowest slot, groove or gap, between its walls at the top. */
  readonly narrowestMm: number;
  readonly levelFaces: readonly LevelFace[];
  /** Level floor under an overhanging lip. */
  readonly hiddenLevelMm2: number;
  /**
   * Plan area of all overhanging surface, the underside apart: as much lies hidden below it, level or not.
   */
  readonly overhangPlanMm2: number;
}

/** An invented part: how to make it, and what is known of it. */
export interface Model {
  readonly name: string;
  readonly title: string;
  readonly known: KnownFigures;
  /** Soup (9 T), mm; every facet count times `refine`, an integer; 1 is the committed mesh. */
  build(refine: number): Float64Array;
}
