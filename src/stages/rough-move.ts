import type { Finding } from '../core/findings.js';
import type { Cutter } from '../cutter/catalogue.js';
import { bullNoseProfile, flatProfile, type CutterProfile } from '../cutter/cutter-profile.js';
import type { Setup } from '../resolve-setup.js';
import { cuttingDataFor } from '../time/cutting-data.js';
import { spindleAndFeed } from '../time/cutting-speed.js';
import type { RoughingMove } from './slice-times.js';

/** A cutter that roughs, and how. */
export interface Rougher extends RoughingMove {
  readonly cutter: Cutter;
  readonly profile: CutterProfile;
  /** greatest step between slices, mm */
  readonly stepdownMm: number;
  /** what was assumed for its feed */
  readonly findings: readonly Finding[];
}

/** Steps and feed of a flat or bull-nose cutter in full material, as shares of its diameter. */
export function rougherOf(cutter: Cutter, setup: Setup): Rougher {
  const { machine, material, cuttingData, roughStepoverShare, roughStepdownShare } = setup;
  const stepoverMm = roughStepoverShare * cutter.DC,
    stepdownMm = Math.min(cutter.APMX, roughStepdownShare * cutter.DC);
  const data = cuttingDataFor(cuttingData, material, 'rough', cutter.DC);
  const engagement = { apMm: stepdownMm, aeMm: stepoverMm, wallAngleRad: Math.PI / 2 };
  return {
    cutter,
    profile: cutter.RE === 0 ? flatProfile(cutter.DC / 2) : bullNoseProfile(cutter.DC / 2, cutter.RE),
    DC: cutter.DC,
    stepoverMm,
    stepdownMm,
    feedMmPerMin: spindleAndFeed(cutter, data, engagement, machine).feedMmPerMin,
    machine,
    findings: data.findings,
  };
}

/** Stock that roughing with this cutter leaves, mm, where the set-up says nothing. */
export const roughStock = (cutter: Pick<Cutter, 'DC'>, { roughStockMm, roughStockShare }: Setup): number =>
  roughStockMm ?? roughStockShare * cutter.DC;
