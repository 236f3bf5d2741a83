import type { AtPoint } from '../../reach/ball-reach.js';
import { gapBandFinder, gapLimits } from '../../reach/gap-bands.js';
import { byPlace } from '../../reach/place-order.js';
import type { SceneFacts } from '../../write/scene-facts.js';
import type { ViewData } from '../../write/view-data.js';
import type { Probe } from './probe.js';
import { NO_FIT, NOT_COMPUTED } from './surface-material.js';

/** One slice of work leaves the page free to answer, ms. */
const SLICE_MS = 24;
/** What was done is shown after so many: without a graphics card one drawing takes longer than many slices. */
const SHOWN_SLICES = 15;
const NOT_ASKED = 255;

/** What of the facts painting needs. */
export type GapFacts = Pick<SceneFacts, 'radiiMm' | 'toleranceMm' | 'stockMm'>;
/** The ball whose gaps are painted. */
export type GapCutter = Pick<SceneFacts['cutters'][number], 'id' | 'RE'>;

/**
 * The band that the gap of a ball lies in at every vertex of the picture that the ball does not reach: as the report
 * holds it, else found slice by slice.
 *
 * The values handed over only tell bands: each lies in the band of the true gap, and the mean of those of two bands
 * is the limit between them, so that it is drawn half way between their vertices. 0: reached; `NO_FIT`;
 * `NOT_COMPUTED`.
 *
 * @param onShow told the gaps so far and the share done
 * @returns stops it
 */
export function paintGaps(
  view: ViewData,
  facts: GapFacts,
  probe: Probe,
  cutter: GapCutter,
  onShow: (gaps: Float32Array, share: number) => void,
): () => void {
  const known = knownGaps(view, facts, cutter);
  if (known !== null) {
    onShow(known, 1);
    return () => undefined;
  }
  const { RE: radiusMm } = cutter,
    limits = gapLimits(facts.toleranceMm, radiusMm + facts.stockMm),
    values = bandValues(limits);
  // The largest surveyed radius up to this one, and the least from this one on, say more or less of the vertices.
  const upTo = facts.radiiMm.filter((radius) => radius <= radiusMm).length,
    below = facts.radiiMm.filter((radius) => radius < radiusMm).length;
  const { positions, normals, counts } = view;
  const open = byPlace(
    positions,
    Int32Array.from(counts, (count) => (count === NOT_ASKED || count >= below + 1 ? -1 : 0)),
  );
  const gaps = new Float32Array(counts.length);
  for (const i of open) gaps[i] = NOT_COMPUTED;
  const bandAt = gapBandFinder((at, limitMm) => probe.isWithin(at, radiusMm, limitMm), limits);
  const placeOf = (i: number): AtPoint => {
    const at = (of: Float64Array) => [of[3 * i], of[3 * i + 1], of[3 * i + 2]] as const;
    return [...at(positions), ...at(normals)];
  };
  let next = 0,
    stopped = false,
    slices = 0;
  const slice = (): void => {
    if (stopped) return;
    const until = performance.now() + SLICE_MS;
    for (; next < open.length && performance.now() < until; next++) {
      const i = open[next];
      gaps[i] = values[bandAt(placeOf(i), counts[i] < upTo ? 1 : 0)];
    }
    const isDone = next === open.length;
    if (isDone || slices++ % SHOWN_SLICES === 0) onShow(gaps, isDone ? 1 : next / open.length);
    if (!isDone) setTimeout(slice, 0);
  };
  slice();
  return () => {
    stopped = true;
  };
}

/** The gaps of a cutter as the report holds them, see `paintGaps`; null: it does not. */
export function knownGaps(
  { gaps }: Pick<ViewData, 'gaps'>,
  { toleranceMm, stockMm }: GapFacts,
  { id, RE }: GapCutter,
): Float32Array | null {
  const known = gaps.find(({ cutterId }) => cutterId === id);
  if (known === undefined) return null;
  const values = bandValues(gapLimits(toleranceMm, RE + stockMm));
  return Float32Array.from(known.bands, (band) => values[band]);
}

/**
 * A value in each band: the mean of two neighbours is the limit between them. As each limit is at least twice the
 * one before, each lies in its band.
 *
 * @returns one more than limits: the last stands for what does not fit
 */
function bandValues(limits: readonly number[]): number[] {
  const values = [0];
  for (const limit of limits.slice(0, -1)) values.push(2 * limit - values[values.length - 1]);
  return [...values, NO_FIT];
}
