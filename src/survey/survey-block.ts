import { boundsOf } from '../core/bounds.js';
import { UNIT_CHOICES } from '../core/units.js';
import type { PreparedMesh } from '../part/prepare.js';
import type { Plan } from '../plan/plan.js';
import { readPart } from '../read/read-part.js';
import type { Setup } from '../resolve-setup.js';
import { boxAbout, boxOfSize, checkHolds, cylinderAbout, type Block } from '../stages/block.js';

/** The block of a set-up about a part as it lies; a mesh is placed as the part was. */
export function surveyBlock(
  { block, blockAllowanceMm: [topMm, sideMm = 0] }: Setup,
  { mesh, matrix: m }: Pick<PreparedMesh, 'mesh' | 'matrix'>,
): Block {
  const allowance = { topMm, sideMm };
  if (block === 'cylinder') return cylinderAbout(mesh.positions, allowance);
  if (block === 'box') return boxAbout(boundsOf(mesh.positions), allowance);
  if (!('cornersMm' in block)) return boxOfSize(boundsOf(mesh.positions), [block[0], block[1], block[2]]);
  const { cornersMm: p } = block;
  const positions = Float64Array.from(p, (_, i) => {
    const k = i % 3,
      at = i - k;
    return m[k] * p[at] + m[4 + k] * p[at + 1] + m[8 + k] * p[at + 2] + m[12 + k];
  });
  return {
    kind: 'mesh',
    mesh: { positions, triangles: Uint32Array.from({ length: positions.length / 3 }, (_, v) => v) },
  };
}

/**
 * The block of a set-up that a mesh file holds, mm.
 *
 * @param unit of the part, as far as it was given: the block's, too, where its file states none
 * @throws {PartError}
 */
export async function blockFromMesh(
  bytes: Uint8Array,
  name: string,
  unit: unknown,
): Promise<{ readonly name: string; cornersMm: number[] }> {
  const asked = UNIT_CHOICES.find((one) => one === unit);
  const read = await readPart(bytes, { name });
  const isStated = asked === undefined || read.source.unitFrom !== 'default';
  const { corners, source } = isStated ? read : await readPart(bytes, { name, unit: asked });
  return { name: source.name, cornersMm: Array.from(corners) };
}

/** What messages call the block. */
export const blockName = ({ block }: Setup): string | null =>
  typeof block === 'object' && 'cornersMm' in block ? block.name : null;

/**
 * Tells at once what need not wait for reach.
 *
 * @throws {PartError} `block.small` if the part's bounds reach out of those of the block
 */
export const checkBlock = (setup: Setup, prepared: Pick<PreparedMesh, 'mesh' | 'matrix'>): void =>
  checkHolds(surveyBlock(setup, prepared), boundsOf(prepared.mesh.positions), blockName(setup) ?? 'block');

/** What a plan says of the block that was given. */
export const givenBlock = ({ block }: Setup): Plan['setup']['block'] =>
  typeof block === 'object' && 'cornersMm' in block
    ? { name: block.name, triangles: block.cornersMm.length / 9 }
    : block;
