/** Parts of all sizes whose figures say how cost follows the mesh and the answer. */
import { heightBlock } from '../support/shapes/height-block.js';
import { pocketPlate, type PocketTile } from '../support/shapes/pocket-plate.js';
import { extrude } from '../support/shapes/sweeps.js';
import { steps } from '../support/labelled-mesh.js';

/** A block whose top waves both ways and has a ridge: dense, smooth, with valleys for every radius. */
export function waves(cells: number): Float64Array {
  const places = steps(cells, 80 / cells);
  return heightBlock(
    places,
    places,
    (x, y) => 20 + 3 * Math.sin(x / 5) * Math.cos(y / 7) + 6 / (1 + ((x - 0.7 * y - 20) / 3) ** 2),
  );
}

/** Ten by six tiles: pockets with round corners of 1.5 to 3.5, and bores of 4 to 8, every third right through. */
function plate(): Float64Array {
  const tile = (n: number): PocketTile => {
    const radius = 1.5 + 0.5 * (n % 5),
      isBore = n % 2 === 1,
      half = isBore ? radius + 0.5 : 6;
    const corner = isBore ? half : radius,
      floor = -4 - (n % 7),
      through = n % 3 === 0;
    const ring = { halfX: half, halfY: isBore ? half : 4.5, radius: corner };
    return {
      rings: [
        { ...ring, z: 0 },
        { ...ring, z: through ? -15 : floor },
      ],
      facets: 8,
      through,
    };
  };
  const tiles = Array.from({ length: 6 }, (_, j) => Array.from({ length: 10 }, (_, i) => tile(10 * j + i)));
  return pocketPlate({ tileX: 18, tileY: 16, bottomZ: -15, tiles });
}

/** Twelve ribs, 1 to 2.1 thick at the top and drafted by 2 degrees, 3 to 6.3 between their feet. */
function ribs(): Float64Array {
  const profile: [number, number][] = [];
  let x = 5;
  for (let i = 0; i < 12; i++) {
    const top = 1 + 0.1 * i,
      lean = 12 * Math.tan((2 * Math.PI) / 180);
    profile.push([x, 0], [x + lean, 12], [x + lean + top, 12], [x + 2 * lean + top, 0]);
    x += 2 * lean + top + 3 + 0.3 * i;
  }
  return extrude([[0, -8], [x, -8], [x, 0], ...profile.reverse(), [0, 0]], 0, 60);
}

/** A shell-shaped core of four waves round, its foot drafted by 3 degrees. */
function freeform(): Float64Array {
  const places = steps(120, 80 / 120);
  return heightBlock(places, places, (x, y) => {
    const radius = Math.hypot(x - 40, y - 40),
      wave = 1.2 * Math.cos(4 * Math.atan2(y - 40, x - 40)) * Math.min(1, radius / 10);
    const crown = 26 - radius ** 2 / 60 + wave,
      foot = 8 + Math.max(0, 30 - radius) / Math.tan((3 * Math.PI) / 180);
    return Math.min(crown, Math.max(8, foot));
  });
}

/** By name; the quick ones first. */
export const MADE_PARTS: Readonly<Record<string, () => Float64Array>> = {
  plate,
  ribs,
  freeform,
  'waves 10 k': () => waves(50),
  'waves 100 k': () => waves(158),
  'waves 1 M': () => waves(500),
  'waves 4 M': () => waves(1000),
};
