import { cividisBands } from '../../write/cividis.js';
import { shown } from '../../write/report-numbers.js';
import { TEXT } from '../../write/report-text.js';
import { namedGapLimits } from '../../reach/gap-bands.js';
import type { ColourMode, SceneFacts } from '../../write/scene-facts.js';
import { COUNT_STEP } from '../../write/view-data.js';
import { niceLengthMm } from '../../write/svg-text.js';

const words = TEXT.view;

/** Bands of a field: value i lies in the first band whose limit it does not exceed. */
export interface Bands {
  readonly colours: readonly string[];
  /** one fewer than colours, ascending; of finishing cutters how many radii must reach a place for each, 0: not told by radii */
  readonly limits: readonly number[];
  readonly names: readonly string[];
  /** what is hatched instead; `pattern` is the id of its swatch */
  readonly hatched: readonly { readonly pattern: string; readonly name: string }[];
  /** of each, mm², where it is told */
  readonly areasMm2?: readonly number[];
}

/** About so many bands for a field without standard limits. */
const BANDS = 5;

/** Bands that a field is shown in; null for classes. @param isComputed whether gaps are known everywhere */
export function bandsOf(
  mode: ColourMode,
  facts: Pick<SceneFacts, 'radiiMm' | 'toleranceMm' | 'regions' | 'ridges' | 'kinds' | 'finishers'>,
  isComputed: boolean,
): Bands | null {
  switch (mode) {
    case 'class':
      return null;
    case 'angle':
      return angleBands();
    case 'reach':
      return reachBands(facts.radiiMm);
    case 'gap':
      return gapBands(facts.toleranceMm, isComputed);
    case 'finisher':
      return finisherBands(facts.finishers);
    case 'scallop':
      return ridgeBandsShown(facts.ridges);
    case 'defect':
      return {
        colours: facts.kinds.map(({ colour }) => colour),
        limits: facts.kinds.slice(1).map((_, i) => i + 0.5),
        names: facts.kinds.map(({ name }) => name),
        hatched: [],
      };
    case 'stickout': {
      const bands = lengthBands(stickoutLimits(facts.regions.flatMap(({ stickoutMm }) => stickoutMm ?? [])));
      return { ...bands, hatched: LEFT };
    }
  }
}

/** Bands of wall angle, ten degrees each. */
export const angleBands = (): Bands => named([10, 20, 30, 40, 50, 60, 70, 80], (deg) => `${shown(deg, 0)}°`);

/** Bands of a cutter's gap, some of which may not be known yet. */
export function gapBands(toleranceMm: number, isComputed: boolean): Bands {
  const bands = lengthBands(namedGapLimits(toleranceMm));
  const names = [`${words.reached}, ${bands.names[0]}`, ...bands.names.slice(1)];
  const hatched = [
    { pattern: 'view-no-fit', name: words.noFit },
    { pattern: 'view-not-computed', name: words.notComputed },
  ];
  return { ...bands, names, hatched: isComputed ? hatched.slice(0, 1) : hatched };
}

/** Bands of the ridges that passes leave, each with its area as the table of the passes counts it. */
function ridgeBandsShown({ limitsMm, areasMm2 }: SceneFacts['ridges']): Bands {
  const { names } = lengthBands(limitsMm);
  const all = [...names, words.noRidge];
  return {
    colours: [...cividisBands(names.length), NO_RIDGE_COLOUR],
    limits: all.slice(1).map((_, i) => i + 0.5),
    names: all,
    hatched: LEFT,
    areasMm2,
  };
}

/** Cutters of the ladder, each with what it does and what it finishes as the table of cutters has it. */
function finisherBands(finishers: SceneFacts['finishers']): Bands {
  return {
    colours: cividisBands(finishers.length),
    limits: finishers.map(({ needs }) => needs),
    names: finishers.map(({ cutterId, role }, i) => words.finishes(i + 1, cutterId, role)),
    hatched: [{ pattern: 'view-left', name: words.leftByAll }],
    areasMm2: finishers.map(({ areaMm2 }) => areaMm2),
  };
}

const LEFT = [{ pattern: 'view-left', name: words.leftToOthers }];
/** Where passes do not meet; none of the bands' colours. */
const NO_RIDGE_COLOUR = '#b3261e';

function reachBands(radiiMm: readonly number[]): Bands {
  const names = radiiMm.length > 0 ? lengthBands(radiiMm).names : ['–'];
  return {
    colours: cividisBands(names.length),
    // What comes to the count itself is in the band above.
    limits: radiiMm.map((_, i) => i + 1 - COUNT_STEP / 2),
    names,
    hatched: [],
  };
}

/** Round lengths between the least and the greatest. */
function stickoutLimits(values: readonly number[]): number[] {
  const least = Math.min(...values),
    most = Math.max(...values);
  if (values.length === 0) return [1];
  const step = niceLengthMm(Math.max(0.5, (most - least) / BANDS));
  const first = Math.floor(least / step) + 1,
    last = Math.max(first, Math.ceil(most / step) - 1);
  return Array.from({ length: last - first + 1 }, (_, i) => (first + i) * step);
}

const mm = (length: number): string => shown(length, 3);
const lengthBands = (limits: readonly number[]): Bands => named(limits, (length) => `${mm(length)} mm`, mm);

/** @param first how a band's first limit is told where its second follows */
function named(limits: readonly number[], told: (limit: number) => string, first = told): Bands {
  const names = [
    words.upTo(told(limits[0])),
    ...limits.slice(1).map((limit, i) => words.between(first(limits[i]), told(limit))),
    words.from(told(limits[limits.length - 1])),
  ];
  return { colours: cividisBands(names.length), limits, names, hatched: [] };
}
