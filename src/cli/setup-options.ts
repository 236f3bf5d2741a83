import type { Command } from 'commander';
import { FIRST_SHARE, LADDER_RULES, OPTION_DEFAULTS, type LadderRule } from '../setup-defaults.js';
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
  type OverlapFlag,
} from './parse-value.js';

/** Options of the set-up as commander hands them over; absent where the user gave none. */
export interface SetupFlags {
  setup?: string;
  unit?: NonNullable<SetupFile['unit']>;
  axis?: NonNullable<SetupFile['axis']>;
  stand?: boolean;
  split?: number | 'auto';
  overlap?: OverlapFlag;
  tolerance?: number;
  radii?: number[];
  cutters?: string;
  machine?: string;
  cuttingData?: string;
  material?: NonNullable<SetupFile['material']>;
  scallop?: number;
  stepover?: number;
  stepdown?: number;
  stock?: number;
  within?: string;
  includeOutside?: boolean;
  minRegion?: number;
  necks?: number;
  runOut?: number;
  blend?: number;
  noise?: number | 'auto';
  patches?: boolean;
  partDate?: string;
  crease?: number;
  firstShare?: number;
  ladder?: LadderRule;
  rasterDirection?: number | 'auto';
  holderClearance?: number;
  preview?: boolean;
}

/** Unit and axis: how any command reads a part. */
export function withPlacementOptions(command: Command): Command {
  return command
    .option(
      '--unit <unit>',
      'unit of the part file: mm, cm, m or in (default: what the format says, else mm)',
      parseUnit,
    )
    .option('--axis <axis>', 'tool axis in the file: +z -z +x -x +y -y or X,Y,Z (default: +z)', parseAxis)
    .option('--no-stand', 'leave the height as it is in the file, do not put the lowest point on Z = 0');
}

/** Every other option of the set-up. Lengths take a unit: 3mm, 0.125in. */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: a table, one call an option.
export function withSetupOptions(command: Command): Command {
  const d = OPTION_DEFAULTS;
  return command
    .option('--setup <file>', 'JSON file with any of these options; an option given here wins')
    .option(
      '--split <deg>',
      `wall angle between shallow and steep, or auto for the fastest (default: ${d.splitDeg})`,
      parseDegOrAuto,
    )
    .option(
      '--overlap <deg|length>',
      'how far both passes overlap: degrees of wall angle, or with a unit, 2mm, a ' +
        `distance along the surface (default: ${d.overlapDeg})`,
      parseOverlap,
    )
    .option(
      '--tolerance <mm>',
      `a cutter reaches what it misses by no more (default: ${d.toleranceMm})`,
      parseLengthMm,
    )
    .option(
      '--radii <list>',
      'ball radii to report reach for, e.g. 1,2,3mm (default: those of the cutters)',
      parseLengthsMm,
    )
    .option(
      '--cutters <file>',
      'cutter catalogue, JSON (default: ball-nose cutters DC 1 to 20, placeholders)',
    )
    .option('--machine <file>', 'machine, JSON (default: a placeholder)')
    .option('--cutting-data <file>', 'cutting speeds and feeds, JSON (default: placeholders)')
    .option(
      '--material <letter>',
      `work material, ISO 513: P M K N S H (default: ${d.material})`,
      parseMaterial,
    )
    .option(
      '--scallop <mm>',
      `ridge height between neighbouring passes (default: ${d.scallopMm})`,
      parseLengthMm,
    )
    .option('--stepover <mm>', 'sideways step, instead of the scallop height', parseLengthMm)
    .option('--stepdown <mm>', 'step along Z, instead of the scallop height', parseLengthMm)
    .option('--stock <mm>', `allowance left on the part (default: ${d.stockMm})`, parseLengthMm)
    .option(
      '--within <svg>',
      'count work only inside these plan outlines; FILE.svg#ID: only that group of them',
    )
    .option('--include-outside', 'count the outer sides of the block as steep')
    .option(
      '--min-region <mm2>',
      `merge smaller islands into their surroundings (default: ${d.minRegionMm2})`,
      parseNumber,
    )
    .option(
      '--necks <stepovers>',
      "close gaps and open necks of the passes' outlines narrower than this many " +
        `stepovers (default: ${d.neckStepovers})`,
      parseNumber,
    )
    .option(
      '--run-out <mm>',
      `how far past its region a whole cutter leaves (default: ${d.runOutMm})`,
      parseLengthMm,
    )
    .option(
      '--blend <percent>',
      'how much larger the cutter before is taken when the next one cleans up after it ' +
        `(default: ${100 * d.blendShare})`,
      parsePercent,
    )
    .option(
      '--noise <mm>',
      'what the points of a scan stray by, root mean square, auto to measure it, 0 to take each ' +
        `facet at its word (default: ${d.noiseMm})`,
      parseLengthOrAuto,
    )
    .option('--patches', 'write the surface of each region as an STL file of its own')
    .option(
      '--part-date <day>',
      'day for the title block of the drawings, YYYY-MM-DD (default: that of the file)',
    )
    .option(
      '--crease <deg>',
      `facets that meet at more are not one smooth surface (default: ${d.creaseDeg})`,
      parseNumber,
    )
    .option(
      '--ladder <rule>',
      `how cutters are chosen: ${LADDER_RULES.join(' or ')} (default: ${d.ladderRule})`,
      parseLadderRule,
    )
    .option(
      '--first-share <share>',
      'share of the machinable area that the first cutter must reach ' +
        `(default: ${FIRST_SHARE.fastest}, largest-first ${FIRST_SHARE['largest-first']})`,
      parseNumber,
    )
    .option(
      '--raster-direction <deg>',
      'direction of the raster in plan, from +X towards +Y, or auto for the fastest ' +
        `(default: ${d.rasterDirectionDeg})`,
      parseDegOrAuto,
    )
    .option(
      '--holder-clearance <mm>',
      `air kept around neck, shank and holder (default: ${d.holderClearanceMm})`,
      parseLengthMm,
    )
    .option('--preview', 'draw the passes themselves, every so many, as an SVG file');
}
