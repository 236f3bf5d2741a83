import { restToRestSeconds, type Dynamics } from '../../src/time/segment-time.js';

/**
 * Time of a zig-zag: `passes` moves of `passMm` and one of `linkMm` between each two, every one from rest to
 * rest, s.
 *
 * @param passes may be a fraction: width over stepover
 */
export function zigZagSeconds(
  passMm: number,
  passes: number,
  linkMm: number,
  feedMmPerMin: number,
  dynamics: Dynamics,
): number {
  return (
    passes * restToRestSeconds(passMm, feedMmPerMin, dynamics) +
    Math.max(0, passes - 1) * restToRestSeconds(linkMm, feedMmPerMin, dynamics)
  );
}
