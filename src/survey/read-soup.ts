import { tick, type Context } from '../core/context.js';
import type { Soup } from '../core/soup.js';
import { prepareMesh, type PreparedMesh } from '../part/prepare.js';
import { readPart } from '../read/read-part.js';
import type { Setup } from '../resolve-setup.js';
import { checkMemory } from './check-proportion.js';

/**
 * Reads a part as its set-up says.
 *
 * @throws {PartError} if it cannot be read, or `task` takes more memory than there is
 */
export async function readSoup(
  task: 'check' | 'survey',
  bytes: Uint8Array,
  name: string,
  setup: Setup,
  context: Context,
): Promise<Soup> {
  tick(context, 'read', 0);
  const { readBeside, meshStep } = context;
  const soup = await readPart(bytes, {
    name,
    ...(setup.unit !== null && { unit: setup.unit }),
    ...(readBeside && { readBeside }),
    ...(meshStep && { step: { mesh: meshStep, toleranceMm: setup.toleranceMm } }),
  });
  checkMemory(soup.source.triangles, task, soup.source.name, context.memoryBytes);
  tick(context, 'read', 1);
  return soup;
}

/** Makes a clean mesh of it, set up. */
export const prepareSoup = (
  soup: Soup,
  { axis, stand }: Setup,
  context: Context,
  inDetail = false,
): PreparedMesh => prepareMesh(soup, { axis, stand, inDetail }, context);
