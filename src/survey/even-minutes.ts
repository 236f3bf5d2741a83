import type { Cutter } from '../cutter/catalogue.js';
import type { Setup } from '../resolve-setup.js';
import { stepoverAt } from '../time/pass-steps.js';
import { askedSteps, finishingFeed } from './pass-layout.js';

/** Minutes per mm² of passes that follow the surface evenly, as the ladder's later cutters do; no links. */
export function minutesPerMm2(setup: Setup, cutter: Cutter): number {
  const spacingMm = stepoverAt(askedSteps(setup), cutter, 1);
  const { feedMmPerMin } = finishingFeed(setup, cutter, spacingMm, Math.PI / 2);
  return setup.machine.timeFactor / (spacingMm * feedMmPerMin);
}
