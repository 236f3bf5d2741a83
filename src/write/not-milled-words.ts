import { figure } from '../core/figures.js';
import type { NotMilled, Remedy } from '../plan/plan.js';
import { deepName, leftName, tightName } from './place-names.js';
import { TEXT } from './report-text.js';

const text = TEXT.report.notMilled;

/** What a place is called on every sheet. */
export function notMilledName({ kind, placeId, isRegion }: NotMilled): string {
  const place = { id: placeId };
  if (isRegion) return text.region(placeId);
  return kind === 'too-tight' ? leftName(place) : kind === 'too-deep' ? deepName(place) : tightName(place);
}

/** What makes it, in words; lengths mm. */
export function remedyWords(place: NotMilled, remedy: Remedy): string {
  const length = `${figure(remedy.reachMm ?? 0, 1)} mm (${figure(remedy.lengthToDiameter ?? 0, 1)} × DC)`;
  if (remedy.kind === 'ball')
    return remedy.radiusMm === null ? text.anyBall : text.ball(figure(remedy.radiusMm, 3), length);
  if (remedy.kind === 'longer-cutter') return text.longer(place.cutterId ?? '', length);
  return remedy.kind === 'set-up' ? text.setUp(remedy.wayUp ?? '') : text.remedies[remedy.kind];
}

export const remediesWords = (place: NotMilled): string =>
  place.remedies.map((remedy) => remedyWords(place, remedy)).join(text.or);
