import { Option, type Command } from 'commander';
import { FIRST_SHARE, LADDER_RULES, OPTION_DEFAULTS } from '../setup-defaults.js';
import type { SetupFile } from '../setup.js';
import {
  parseAxis,
  parseDegOrAuto,
  parseLadderRule,
  parseLengthMm,
  parseLengthOrAuto,
  parseLengthsMm,
  parseMaterial,
  parseNumber,
  parseOverlap,
  parsePercent,
  parseUnit,
} from './parse-value.js';

/** An option of the command line that stands for a key of the set-up. */
export interface SetupOption {
  /** as the help shows it: `--split <deg>` */
  readonly flags: string;
  /** its name alone: `--split` */
  readonly name: string;
  /** the key it sets; a value that is an object is spread over the set-up, and may set the second instead */
  readonly keys: readonly (keyof SetupFile)[];
  readonly help: string;
  readonly parse: ((text: string) => unknown) | undefined;
  /** what the user gave, of all that commander hands over; undefined: nothing */
  readonly given: (flags: Readonly<Record<string, unknown>>) => unknown;
}

function option(
  keys: keyof SetupFile | readonly [keyof SetupFile, keyof SetupFile],
  flags: string,
  help: string,
  parse?: (text: string) => unknown,
): SetupOption {
  const made = new Option(flags);
  const attribute = made.attributeName();
  return {
    flags,
    name: made.long ?? flags,
    keys: typeof keys === 'string' ? [keys] : keys,
    help,
    parse,
    // Of a switch that turns off, commander says true where it is not given.
    given: (all) => (made.negate && all[attribute] === true ? undefined : all[attribute]),
  };
}

/** Unit and axis: how any command reads a part. */
export const PLACEMENT_OPTIONS: readonly SetupOption[] = [
  option(
    'unit',
    '--unit <unit>',
    'unit of the part file: mm, cm, m or in (default: what the format says, else mm)',
    parseUnit,
  ),
  option(
    'axis',
    '--axis <axis>',
    'tool axis in the file: +z -z +x -x +y -y or X,Y,Z (default: +z)',
    parseAxis,
  ),
  option(
    'stand',
    '--no-stand',
    'leave the height as it is in the file, do not put the lowest point on Z = 0',
  ),
];

const d = OPTION_DEFAULTS;

/** Every other option of the set-up, in the order of the help. Lengths take a unit: 3mm, 0.125in. */
export const SURVEY_OPTIONS: readonly SetupOption[] = [
  option(
    'splitDeg',
    '--split <deg>',
    `wall angle between shallow and steep, or auto for the fastest (default: ${d.splitDeg})`,
    parseDegOrAuto,
  ),
  option(
    ['overlapDeg', 'overlapMm'],
    '--overlap <deg|length>',
    'how far both passes overlap: degrees of wall angle, or with a unit, 2mm, a ' +
      `distance along the surface (default: ${d.overlapDeg})`,
    parseOverlap,
  ),
  option(
    'toleranceMm',
    '--tolerance <mm>',
    `a cutter reaches what it misses by no more (default: ${d.toleranceMm})`,
    parseLengthMm,
  ),
  option(
    'radiiMm',
    '--radii <list>',
    'ball radii to report reach for, e.g. 1,2,3mm (default: those of the cutters)',
    parseLengthsMm,
  ),
  option(
    'cutters',
    '--cutters <file>',
    'cutter catalogue, JSON (default: ball-nose cutters DC 1 to 20, placeholders)',
  ),
  option('machine', '--machine <file>', 'machine, JSON (default: a placeholder)'),
  option('cuttingData', '--cutting-data <file>', 'cutting speeds and feeds, JSON (default: placeholders)'),
  option(
    'material',
    '--material <letter>',
    `work material, ISO 513: P M K N S H (default: ${d.material})`,
    parseMaterial,
  ),
  option(
    'scallopMm',
    '--scallop <mm>',
    `ridge height between neighbouring passes (default: ${d.scallopMm})`,
    parseLengthMm,
  ),
  option('stepoverMm', '--stepover <mm>', 'sideways step, instead of the scallop height', parseLengthMm),
  option('stepdownMm', '--stepdown <mm>', 'step along Z, instead of the scallop height', parseLengthMm),
  option('stockMm', '--stock <mm>', `allowance left on the part (default: ${d.stockMm})`, parseLengthMm),
  option(
    'within',
    '--within <svg>',
    'count work only inside these plan outlines; FILE.svg#ID: only that group of them',
  ),
  option('includeOutside', '--include-outside', 'count the outer sides of the block as steep'),
  option(
    'minRegionMm2',
    '--min-region <mm2>',
    `merge smaller islands into their surroundings (default: ${d.minRegionMm2})`,
    parseNumber,
  ),
  option(
    'neckStepovers',
    '--necks <stepovers>',
    "close gaps and open necks of the passes' outlines narrower than this many " +
      `stepovers (default: ${d.neckStepovers})`,
    parseNumber,
  ),
  option(
    'runOutMm',
    '--run-out <mm>',
    `how far past its region a whole cutter leaves (default: ${d.runOutMm})`,
    parseLengthMm,
  ),
  option(
    'blendShare',
    '--blend <percent>',
    'how much larger the cutter before is taken when the next one cleans up after it ' +
      `(default: ${100 * d.blendShare})`,
    parsePercent,
  ),
  option(
    'noiseMm',
    '--noise <mm>',
    'what the points of a scan stray by, root mean square, auto to measure it, 0 to take each ' +
      `facet at its word (default: ${d.noiseMm})`,
    parseLengthOrAuto,
  ),
  option('patches', '--patches', 'write the surface of each region as an STL file of its own'),
  option(
    'partDate',
    '--part-date <day>',
    'day for the title block of the drawings, YYYY-MM-DD (default: that of the file)',
  ),
  option(
    'creaseDeg',
    '--crease <deg>',
    `facets that meet at more are not one smooth surface (default: ${d.creaseDeg})`,
    parseNumber,
  ),
  option(
    'ladderRule',
    '--ladder <rule>',
    `how cutters are chosen: ${LADDER_RULES.join(' or ')} (default: ${d.ladderRule})`,
    parseLadderRule,
  ),
  option(
    'firstCutterShare',
    '--first-share <share>',
    'share of the machinable area that the first cutter must reach ' +
      `(default: ${FIRST_SHARE.fastest}, largest-first ${FIRST_SHARE['largest-first']})`,
    parseNumber,
  ),
  option(
    'rasterDirectionDeg',
    '--raster-direction <deg>',
    'direction of the raster in plan, from +X towards +Y, or auto for the fastest ' +
      `(default: ${d.rasterDirectionDeg})`,
    parseDegOrAuto,
  ),
  option(
    'holderClearanceMm',
    '--holder-clearance <mm>',
    `air kept around neck, shank and holder (default: ${d.holderClearanceMm})`,
    parseLengthMm,
  ),
  option('preview', '--preview', 'draw the passes themselves, every so many, as an SVG file'),
];

/** The options, added to a command. */
export function withOptions(command: Command, options: readonly SetupOption[]): Command {
  for (const { flags, help, parse } of options) {
    if (parse) command.option(flags, help, parse);
    else command.option(flags, help);
  }
  return command;
}
