/** Share of a place that a ball may leave to others and still be said to get into most of it. */
const LEFT_SHARE = 0.25;

/** Ball radius at a point of a place, mm, and how much that point counts for. */
export interface WeightedRadius {
  readonly radiusMm: number;
  readonly weight: number;
}

/** The largest ball that gets into three quarters of a place, mm; Infinity: any does. */
export function mostlyReachRadius(points: readonly WeightedRadius[]): number {
  let left = LEFT_SHARE * points.reduce((sum, { weight }) => sum + weight, 0);
  const first = [...points]
    .sort((a, b) => a.radiusMm - b.radiusMm)
    .find(({ weight }) => {
      left -= weight;
      return left < 0;
    });
  return first?.radiusMm ?? Infinity;
}
