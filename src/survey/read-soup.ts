import { tick, type Context } from '../core/context.js';
import type { FileChunks } from '../core/file-chunks.js';
import type { Soup } from '../core/soup.js';
import { isSame } from '../part/directions.js';
import { prepareMesh, type PreparedMesh } from '../part/prepare.js';
import { readPart } from '../read/read-part.js';
import { AXIS_VECTORS } from '../options.js';
import type { Setup } from '../resolve-setup.js';
import { checkMemory } from './check-proportion.js';
import { waysUp } from './ways-up.js';

/**
 * Reads a part as its set-up says.
 *
 * @throws {PartError} if it cannot be read, or `task` takes more memory than there is
 */
export async function readSoup(
  task: 'check' | 'survey',
  bytes: Uint8Array | FileChunks,
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

export interface PlacedSoup {
  readonly prepared: PreparedMesh;
  /** what the way up was chosen from; null: it was given */
  readonly ways: ReturnType<typeof waysUp> | null;
}

/** Makes a clean mesh of it, set up: by the axis given, or the best way up. */
export function placeSoup(soup: Soup, setup: Setup, context: Context, inDetail = false): PlacedSoup {
  const placed = (axis: readonly [number, number, number]): PreparedMesh =>
    prepareMesh(soup, { axis, stand: setup.stand, inDetail }, context);
  if (setup.axis !== 'auto') return { prepared: placed(setup.axis), ways: null };
  const lying = placed(AXIS_VECTORS['+z']),
    ways = waysUp(lying, setup),
    [best] = ways.ways;
  return { prepared: isSame(best.axis, AXIS_VECTORS['+z']) ? lying : placed(best.axis), ways };
}
