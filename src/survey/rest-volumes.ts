import { tick, type Context } from '../core/context.js';
import type { ReachEngine } from '../reach/reach-engine.js';

/** What a ball leaves: volume, mm³, and its greatest thickness, mm. */
export interface RestOfBall {
  readonly volumeMm3: number;
  readonly greatestMm: number;
}

/** Rest volumes that are computed while threads would idle, whether they will be asked for or not. */
export interface RestVolumes {
  /** Those of these radii, by radius; no others are wanted any more. Once at most. */
  of(radiiMm: readonly number[], context: Context): Promise<ReadonlyMap<number, RestOfBall>>;
}

/** @param stockMm allowance left on the part */
export function restVolumes(engine: ReachEngine, radiiMm: readonly number[], stockMm: number): RestVolumes {
  // Large balls are the ones that surely leave something.
  const prepared = [...radiiMm]
    .sort((a, b) => b - a)
    .map((radiusMm) => ({
      radiusMm,
      rest: engine.prepare({ kind: 'rest', items: Float64Array.of(radiusMm), stockMm }),
    }));
  return {
    of: async (wanted, context) => {
      for (const { radiusMm, rest } of prepared) if (!wanted.includes(radiusMm)) rest.drop();
      const found = new Map<number, RestOfBall>();
      const asked = prepared.filter(({ radiusMm }) => wanted.includes(radiusMm));
      await Promise.all(
        asked.map(async ({ radiusMm, rest }) => {
          const [volumeMm3, greatestMm] = await rest.answer(context.signal);
          found.set(radiusMm, { volumeMm3, greatestMm });
          tick(context, 'rest material', found.size / asked.length);
        }),
      );
      return found;
    },
  };
}
