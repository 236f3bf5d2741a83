import type { Command } from 'commander';
import { OPTION_DEFAULTS } from '../setup-defaults.js';
import type { SetupFile } from '../setup.js';
import {
  parseAxis, parseLengthMm, parseLengthsMm, parseMaterial, parseNumber, parseSplitDeg, parseUnit,
} from './parse-value.js';

/** Options of the set-up as commander hands them over; absent where the user gave none. */
export interface SetupFlags {
  setup?: string;
  unit?: NonNullable<SetupFile['unit']>;
  axis?: NonNullable<SetupFile['axis']>;
  stand?: boolean;
  split?: number | 'auto';
  overlap?: number;
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
  crease?: number;
  firstShare?: number;
}

/** Unit and axis: how any command reads a part. */
export function withPlacementOptions(command: Command): Command {
  return command
    .option('--unit <unit>',
      'unit of the part file: mm, cm, m or in (default: what the format says, else mm)', parseUnit)
    .option('--axis <axis>', 'tool axis in the file: +z -z +x -x +y -y or X,Y,Z (default: +z)', parseAxis)
    .option('--no-stand', 'leave the height as it is in the file, do not put the lowest point on Z = 0');
}

/** Every other option of the set-up. Lengths take a unit: 3mm, 0.125in. */
export function withSetupOptions(command: Command): Command {
  const d = OPTION_DEFAULTS;
  return command
    .option('--setup <file>', 'JSON file with any of these options; an option given here wins')
    .option('--split <deg>',
      `wall angle between shallow and steep, or auto for the fastest (default: ${d.splitDeg})`, parseSplitDeg)
    .option('--overlap <deg>', `how far both passes overlap (default: ${d.overlapDeg})`, parseNumber)
    .option('--tolerance <mm>',
      `a cutter reaches what it misses by no more (default: ${d.toleranceMm})`, parseLengthMm)
    .option('--radii <list>',
      'ball radii to report reach for, e.g. 1,2,3mm (default: those of the cutters)', parseLengthsMm)
    .option('--cutters <file>',
      'cutter catalogue, JSON (default: ball-nose cutters DC 1 to 20, placeholders)')
    .option('--machine <file>', 'machine, JSON (default: a placeholder)')
    .option('--cutting-data <file>', 'cutting speeds and feeds, JSON (default: placeholders)')
    .option('--material <letter>',
      `work material, ISO 513: P M K N S H (default: ${d.material})`, parseMaterial)
    .option('--scallop <mm>',
      `ridge height between neighbouring passes (default: ${d.scallopMm})`, parseLengthMm)
    .option('--stepover <mm>', 'sideways step, instead of the scallop height', parseLengthMm)
    .option('--stepdown <mm>', 'step along Z, instead of the scallop height', parseLengthMm)
    .option('--stock <mm>', `allowance left on the part (default: ${d.stockMm})`, parseLengthMm)
    .option('--within <svg>', 'count work only inside these plan outlines; FILE.svg#ID: only that group of them')
    .option('--include-outside', 'count the outer sides of the block as steep')
    .option('--min-region <mm2>',
      `merge smaller islands into their surroundings (default: ${d.minRegionMm2})`, parseNumber)
    .option('--crease <deg>',
      `facets that meet at more are not one smooth surface (default: ${d.creaseDeg})`, parseNumber)
    .option('--first-share <share>', 'share of the machinable area that the first cutter must reach '
      + `(default: ${d.firstCutterShare})`, parseNumber);
}
