import { PartError } from '../core/errors.js';

/** A file that cannot be read as it is; where nothing else helps, it may have been damaged on its way. */
export const readError = (
  code: `${'read' | 'within' | 'option'}.${string}`,
  where: string,
  what: string,
  remedy = 'export or copy it again',
): PartError => new PartError({ code, where, what, remedy });

/** What helps where a coordinate is no number. */
export const LOST_POINTS = 'export it again; the part has lost points there';

/**
 * Refuses a count of triangles before room is made for them.
 *
 * @throws {PartError} `read.too-many-triangles`
 */
export function checkTriangles(count: number, where: string, most: number): void {
  if (count <= most) return;
  const what = `${count} triangles, at most ${most} are read`;
  throw readError('read.too-many-triangles', where, what, 'export it coarser, or in parts');
}
