import type { PartErrorInfo } from '../../core/errors.js';
import type { Setup } from '../../resolve-setup.js';
import type { EarlyAnswers } from '../../survey/survey.js';
import type { ViewData } from '../../write/view-data.js';

/** What the survey's worker is told; the bytes move there. */
export interface Job {
  readonly bytes: Uint8Array<ArrayBuffer>;
  readonly name: string;
  readonly setup: Setup;
  /** a mesh that is the block, instead of what the set-up says of it; null: none */
  readonly blockMesh: { readonly name: string; readonly bytes: Uint8Array } | null;
}

/** The first picture of a part: its surface alone, one vertex per point and normal. */
export type EarlyPicture = Pick<ViewData, 'positions' | 'normals' | 'triangles'>;

/** What it tells. */
export type Answer =
  | { readonly kind: 'progress'; readonly stage: string; readonly fraction: number }
  | { readonly kind: 'surface'; readonly picture: EarlyPicture }
  | { readonly kind: 'answers'; readonly answers: EarlyAnswers }
  | { readonly kind: 'done'; readonly files: ReadonlyMap<string, Uint8Array | string> }
  | { readonly kind: 'part-error'; readonly info: PartErrorInfo }
  | { readonly kind: 'failure'; readonly message: string };
