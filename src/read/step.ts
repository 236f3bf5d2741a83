import { significant } from '../core/figures.js';
import { finding } from '../core/findings.js';
import { RAD_PER_DEG } from '../core/units.js';
import { readError } from './read-error.js';
import type { ReadOptions } from './read-part.js';
import type { ReadTriangles } from './read-triangles.js';

/** What chords may miss by, as a share of the tolerance: the rest is for what is worked out from them. */
const CHORD_SHARE = 0.5;
/** Corner normals are told well from facets that turn no more; only small fillets are bound by it. */
const ANGLE_DEG = 10;

/**
 * Triangles of a STEP file (ISO 10303-21), made by whatever the caller has for it. The file states its unit, and
 * comes in mm.
 *
 * @throws {PartError} `read.unsupported-format` where nothing makes facets, `option.unit` if another unit is
 *   asked for, and what the maker throws
 */
export async function readStep(bytes: Uint8Array, options: ReadOptions): Promise<ReadTriangles> {
  const { name, unit, step } = options;
  if (step === undefined) {
    const what = 'this is a STEP file, which is read on the command line only';
    throw readError('read.unsupported-format', name, what, 'export the part as STL, 3MF or GLB');
  }
  if (unit !== undefined && unit !== 'auto') {
    const what = `a STEP file states its unit and is converted by it, so it cannot be taken for ${unit}`;
    throw readError('option.unit', name, what, 'leave --unit out');
  }
  const limits = { chordMm: CHORD_SHARE * step.toleranceMm, angleRad: ANGLE_DEG * RAD_PER_DEG };
  const corners = await step.mesh(bytes, name, limits);
  const message =
    `the facets were made here from the surfaces of the STEP file: chords miss them by at most ` +
    `${significant(limits.chordMm, 3)} mm, neighbours turn by at most ${ANGLE_DEG}°`;
  return {
    corners,
    stated: { unit: 'mm', by: 'file' },
    findings: [finding('read.facets-made', 'info', message, corners.length / 9)],
  };
}
