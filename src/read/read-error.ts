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
