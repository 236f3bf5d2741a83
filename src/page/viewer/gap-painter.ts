import type { SceneFacts } from '../../write/scene-facts.js';
import type { ViewData } from '../../write/view-data.js';
import type { Probe } from './probe.js';
import { NO_FIT } from './surface-material.js';

/** One slice of work leaves the page free to answer, ms. */
const SLICE_MS = 24;
const NOT_ASKED = 255;

/**
 * Computes the gap of a ball at every vertex of the picture that it does not reach, slice by slice.
 *
 * @param onSlice told the gaps so far and the share done
 * @returns stops it
 */
export function paintGaps(
  view: ViewData,
  facts: SceneFacts,
  probe: Probe,
  radiusMm: number,
  onSlice: (gaps: Float32Array, share: number) => void,
): () => void {
  const gaps = new Float32Array(view.counts.length);
  const index = facts.radiiMm.indexOf(radiusMm);
  const open: number[] = [];
  view.counts.forEach((count, i) => {
    if (count !== NOT_ASKED && (index < 0 || count <= index)) open.push(i);
  });
  let next = 0,
    stopped = false;
  const slice = (): void => {
    if (stopped) return;
    const until = performance.now() + SLICE_MS;
    while (next < open.length && performance.now() < until) {
      const gap = probe.gapAtVertex(open[next], radiusMm);
      gaps[open[next++]] = gap === Infinity ? NO_FIT : gap;
    }
    onSlice(gaps, open.length === 0 ? 1 : next / open.length);
    if (next < open.length) setTimeout(slice, 0);
  };
  slice();
  return () => {
    stopped = true;
  };
}
