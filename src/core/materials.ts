/** ISO 513 letters of work material: steel, stainless, cast iron, non-ferrous, heat-resistant, hardened. */
export const MATERIALS = ['P', 'M', 'K', 'N', 'S', 'H'] as const;
export type Material = (typeof MATERIALS)[number];
