import { TEXT } from '../../write/report-text.js';
import type { SceneFacts } from '../../write/scene-facts.js';
import { need } from './elements.js';
import type { Pointing } from './pointing.js';
import type { Stage } from './stage.js';

const words = TEXT.view;

/** Buttons of the tables, each of which shows its region in the view. */
export function bindPlaces(
  root: ParentNode,
  facts: SceneFacts,
  stage: Stage,
  pointing: Pointing,
  say: (text: string) => void,
): void {
  const canvas = need(root, 'v-canvas', HTMLCanvasElement);
  const showRegion = (id: number): void => {
    const region = facts.regions.find((one) => one.id === id);
    if (!region) return;
    stage.rig.fit(...centredBounds(facts, region.boundsMm));
    pointing.choose(id);
    say(words.regionShown(id));
  };
  const showTight = (id: number): void => {
    const place = facts.tight.find((one) => one.id === id);
    if (!place) return;
    stage.rig.fit(...centredBounds(facts, place.boundsMm));
    stage.setMarks([[place.centreMm[0], place.centreMm[1], place.centreMm[2]], null]);
    say(words.tightShown(id));
  };
  root.querySelectorAll<HTMLElement>('[data-region],[data-tight]').forEach((button) =>
    button.addEventListener('click', () => {
      const { region, tight } = button.dataset;
      if (region !== undefined) showRegion(Number(region));
      else showTight(Number(tight));
      need(root, 'v-stage', HTMLElement).scrollIntoView({ block: 'nearest' });
      canvas.focus({ preventScroll: true });
      stage.redraw();
    }),
  );
}

/** Bounds as the stage sees them: about the middle of the part. */
export function centredBounds(
  { boundsMm }: Pick<SceneFacts, 'boundsMm'>,
  { min, max }: { readonly min: readonly number[]; readonly max: readonly number[] },
): [number[], number[]] {
  const middle = boundsMm.min.map((low, k) => (low + boundsMm.max[k]) / 2);
  return [min.map((x, k) => x - middle[k]), max.map((x, k) => x - middle[k])];
}
