import type { Plan } from '../plan/plan.js';

/** Whether the wear of the cutters is in the cost: only where the catalogue has a figure for it. */
export function wearWords({ ladder, setup }: Pick<Plan, 'ladder' | 'setup'>): string {
  const costs = new Map(setup.cutters.map(({ id, wearCostPerMinute }) => [id, wearCostPerMinute]));
  const known = ladder.filter(({ cutterId }) => (costs.get(cutterId) ?? null) !== null).length;
  if (known === 0) return 'no cutter wear known';
  return known === ladder.length ? 'cutter wear in it' : `wear of ${known} of ${ladder.length} cutters in it`;
}
