import { boundsOf, longestSide } from '../core/bounds.js';
import { significant } from '../core/figures.js';
import { finding, type Finding } from '../core/findings.js';
import { likelyUnits } from '../core/likely-units.js';
import type { UnitFrom } from '../core/source.js';
import { MM_PER_UNIT, UNIT_WORDS, type FileUnit, type Unit, type UnitChoice } from '../core/units.js';
import type { ReadTriangles } from './read-triangles.js';

/** Whichever fits first is guessed: modelling systems write mm most often, cm least. */
const BY_USE: readonly Unit[] = ['mm', 'in', 'm', 'cm'];

export interface ChosenUnit {
  readonly unit: FileUnit;
  readonly unitFrom: UnitFrom;
  readonly findings: readonly Finding[];
}

/** The unit of what was read: the one asked for, else what the file states, else a guess if asked for, else mm. */
export function chooseUnit({ corners, stated }: ReadTriangles, asked: UnitChoice | undefined): ChosenUnit {
  if (asked !== undefined && asked !== 'auto') {
    const isContrary = stated?.by === 'file' && stated.unit !== asked;
    const findings = isContrary ? [overridden(stated.unit, asked)] : [];
    return { unit: asked, unitFrom: 'option', findings };
  }
  if (stated !== undefined) return { unit: stated.unit, unitFrom: stated.by, findings: [] };
  return asked === 'auto' ? guess(corners) : { unit: 'mm', unitFrom: 'default', findings: [] };
}

const overridden = (stated: FileUnit, asked: Unit): Finding =>
  finding(
    'unit.overridden',
    'warning',
    `the file states ${UNIT_WORDS[stated]} and was read in ${UNIT_WORDS[asked]}, as asked for`,
  );

function guess(corners: Float64Array): ChosenUnit {
  const extent = longestSide(boundsOf(corners));
  const likely = likelyUnits(extent);
  const [unit = 'mm', ...others] = BY_USE.filter((one) => likely.includes(one));
  const sized = (one: Unit): string => `${UNIT_WORDS[one]} (${significant(extent * MM_PER_UNIT[one], 4)} mm)`;
  const why =
    likely.length === 0
      ? 'in none of them does the part have the size of one that is milled'
      : others.length === 0
        ? 'in no other unit does it have the size of a part that is milled'
        : `${others.map(sized).join(' and ')} would fit too, and ${unit} is the commonest of them`;
  const message =
    `the file states no unit; its longest side of ${significant(extent, 4)} was taken for ` +
    `${sized(unit)}: ${why}. Say --unit to be sure`;
  return { unit, unitFrom: 'guess', findings: [finding('unit.guessed', 'warning', message)] };
}
