import { measureSoup, volumeAndArea } from '../tests/support/shapes/measures.js';
import { rounded } from '../tests/support/shapes/variants.js';
import { binaryStl } from '../tests/support/stl.js';
import { bellCover } from './bell-cover.js';
import { clipInsert } from './clip-insert.js';
import { latchHousing } from './latch-housing.js';
import type { KnownFigures, Model } from './model.js';
import { CHORD_MM } from './outline.js';
import { soapDish } from './soap-dish.js';

/** Every demo part. */
export const MODELS: readonly Model[] = [soapDish, bellCover, clipInsert, latchHousing];

/**
 * Figures of one part: measured on its mesh as committed, of the true surface behind it, and from its
 * construction.
 */
export interface ModelFigures extends KnownFigures {
  readonly file: string;
  readonly title: string;
  readonly triangles: number;
  readonly boundsMm: { readonly min: readonly number[]; readonly max: readonly number[] };
  /** Of the committed mesh. */
  readonly volumeMm3: number;
  readonly areaMm2: number;
  /** Of the true surface: the limit of ever finer meshes, good to about 1e-6 relative. */
  readonly trueVolumeMm3: number;
  readonly trueAreaMm2: number;
}

/** The committed bytes: binary STL of the coarsest mesh. */
export const modelBytes = (model: Model): Uint8Array =>
  binaryStl(model.build(1), `${model.name}, invented part, mm`);

/**
 * Figures of one part. Area and volume errors fall by refinement squared, so two meshes extrapolate them
 * away.
 */
export function modelFigures(model: Model): ModelFigures {
  const corners = rounded(model.build(1));
  const mesh = measureSoup(corners);
  const [twice, thrice] = [2, 3].map((refine) => volumeAndArea(model.build(refine)));
  const limit = (key: 'volume' | 'area'): number => round((9 * thrice[key] - 4 * twice[key]) / 5, 2);
  return {
    file: `${model.name}.stl`,
    title: model.title,
    triangles: corners.length / 9,
    boundsMm: { min: mesh.min, max: mesh.max },
    volumeMm3: round(mesh.volume, 4),
    areaMm2: round(mesh.area, 4),
    trueVolumeMm3: limit('volume'),
    trueAreaMm2: limit('area'),
    ...model.known,
    hiddenLevelMm2: round(model.known.hiddenLevelMm2, 4),
    overhangPlanMm2: round(model.known.overhangPlanMm2, 4),
    levelFaces: model.known.levelFaces.map((face) => ({ ...face, areaMm2: round(face.areaMm2, 4) })),
  };
}

/** Text of figures.json. */
export const figuresJson = (): string =>
  `${JSON.stringify({ chordMm: CHORD_MM, models: MODELS.map(modelFigures) }, null, 2)}\n`;

const round = (x: number, digits: number): number => Number(x.toFixed(digits));
