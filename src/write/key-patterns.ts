import { CLASSES } from '../core/classes.js';
import { CLASS_COLOURS } from './class-colours.js';
import { hatchPattern } from './hatches.js';

/** Classes that the view hatches, having too few colours for eight; the others are plain there. */
const HATCHED_IN_VIEW = ['overlap', 'undercut', 'hidden'];

/** Colour and hatch of every class: `key-` as on paper, for tables and charts, `view-` as in the view. */
export function keyPatterns(): string {
  const patterns = CLASSES.flatMap((cls) => {
    const look = {
      cls,
      ground: CLASS_COLOURS[cls],
      spacingMm: 6,
      lineMm: 1,
      lineColour: cls === 'overlap' || cls === 'shallow' ? '#22303c' : '#ffffff',
    };
    const inView = HATCHED_IN_VIEW.includes(cls) ? look : { ...look, lineColour: look.ground };
    return [hatchPattern({ id: `key-${cls}`, ...look }), hatchPattern({ id: `view-${cls}`, ...inView })];
  });
  // Hatches of the view's fields: a ball that does not fit, what the region's cutter leaves, what is not known yet.
  const line = { spacingMm: 6, lineMm: 1, lineColour: '#22303c' };
  patterns.push(
    hatchPattern({ id: 'view-no-fit', cls: 'steep', ground: '#ffea46', ...line }),
    hatchPattern({ id: 'view-left', cls: 'overlap', ground: '#d8d8d8', ...line }),
    hatchPattern({ id: 'view-not-computed', cls: 'underside', ground: '#d8d8d8', ...line }),
  );
  return `<svg class="key" aria-hidden="true"><defs>${patterns.join('')}</defs></svg>`;
}
