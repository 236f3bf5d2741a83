import { byPlace } from '../../reach/place-order.js';
import type { SceneFacts } from '../../write/scene-facts.js';
import type { ViewData } from '../../write/view-data.js';
import { gapBands } from './bands.js';
import type { Probe } from './probe.js';
import { NO_FIT } from './surface-material.js';

/** One slice of work leaves the page free to answer, ms. */
const SLICE_MS = 24;
/** What was done is shown after so many: without a graphics card one drawing takes longer than many slices. */
const SHOWN_SLICES = 15;
const NOT_ASKED = 255;

/** What of the facts painting needs. */
export type GapFacts = Pick<SceneFacts, 'radiiMm' | 'toleranceMm'>;

/**
 * Finds the band that the gap of a ball lies in at every vertex of the picture that the ball does not reach, slice by
 * slice, neighbours after each other.
 *
 * The values handed over only tell bands: each lies in the band of the true gap, and the mean of those of two bands
 * is the limit between them, so that it is drawn half way between their vertices. 0: reached; `NO_FIT`.
 *
 * @param onShow told the gaps so far and the share done
 * @returns stops it
 */
export function paintGaps(
  view: ViewData,
  facts: GapFacts,
  probe: Probe,
  radiusMm: number,
  onShow: (gaps: Float32Array, share: number) => void,
): () => void {
  const gaps = new Float32Array(view.counts.length);
  const limits = gapLimits(facts.toleranceMm, probe.farMm(radiusMm)),
    values = bandValues(limits);
  // The largest surveyed radius up to this one, and the least from this one on, say more or less of the vertices.
  const upTo = facts.radiiMm.filter((radius) => radius <= radiusMm).length,
    below = facts.radiiMm.filter((radius) => radius < radiusMm).length;
  const open = byPlace(
    view.positions,
    Int32Array.from(view.counts, (count) => (count === NOT_ASKED || count > below ? -1 : 0)),
  );
  let next = 0,
    band = 0,
    stopped = false,
    slices = 0;
  const paint = (i: number): void => {
    const least = view.counts[i] < upTo ? 1 : 0;
    const isUpTo = (k: number): boolean => k === limits.length || probe.isWithin(i, radiusMm, limits[k]);
    band = Math.max(band, least);
    if (isUpTo(band)) while (band > least && isUpTo(band - 1)) band--;
    else while (!isUpTo(++band));
    gaps[i] = values[band];
  };
  // Where regions meet, several vertices are one place.
  const paintNext = (): void => {
    const i = open[next],
      before = open[Math.max(0, next - 1)];
    if (next > 0 && isSamePlace(view, i, before)) gaps[i] = gaps[before];
    else paint(i);
    next++;
  };
  const slice = (): void => {
    if (stopped) return;
    const until = performance.now() + SLICE_MS;
    while (next < open.length && performance.now() < until) paintNext();
    const isDone = next === open.length;
    if (isDone || ++slices % SHOWN_SLICES === 0) onShow(gaps, isDone ? 1 : next / open.length);
    if (!isDone) setTimeout(slice, 0);
  };
  slice();
  return () => {
    stopped = true;
  };
}

/** Normals of one side differ by no more: they are rounded for the way. */
const SAME_NORMAL = 1e-3;

function isSamePlace({ positions, normals }: ViewData, i: number, j: number): boolean {
  for (let k = 0; k < 3; k++) {
    if (positions[3 * i + k] !== positions[3 * j + k]) return false;
    if (Math.abs(normals[3 * i + k] - normals[3 * j + k]) > SAME_NORMAL) return false;
  }
  return true;
}

/** The limits between bands of gaps, and beyond them up to where the ball does not fit, ascending, mm. */
function gapLimits(toleranceMm: number, farMm: number): number[] {
  const limits = [...gapBands(toleranceMm).limits];
  while (limits[limits.length - 1] < farMm) limits.push(2 * limits[limits.length - 1]);
  return [...limits.filter((limit) => limit < farMm), farMm];
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
