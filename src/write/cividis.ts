/**
 * Colours of a sequence of bands, dark to light, sRGB: evenly spaced over cividis, whose lightness grows
 * evenly for every kind of colour vision (Nuñez, Anderton & Renslow 2018, doi:10.1371/journal.pone.0199239).
 * The five support points are those of the published map.
 */
export function cividisBands(count: number): string[] {
  return Array.from({ length: count }, (_, i) => cividis(count === 1 ? 0.5 : i / (count - 1)));
}

const SUPPORT = [
  [0, 32, 77],
  [65, 77, 107],
  [124, 123, 120],
  [188, 175, 111],
  [255, 234, 70],
] as const;

function cividis(share: number): string {
  const place = Math.min(SUPPORT.length - 2, Math.floor(share * (SUPPORT.length - 1)));
  const rest = share * (SUPPORT.length - 1) - place;
  const channels = SUPPORT[place].map((low, k) => Math.round(low + rest * (SUPPORT[place + 1][k] - low)));
  return `#${channels.map((value) => value.toString(16).padStart(2, '0')).join('')}`;
}
