import type { Plan } from '../../plan/plan.js';
import { comparisonHtml } from '../../write/compare.js';
import { minutesText } from '../../write/report-numbers.js';
import { TEXT } from '../../write/report-text.js';
import type { ColourMode, SceneFacts } from '../../write/scene-facts.js';
import { bandsOf } from '../viewer/bands.js';
import { make, need, onClick, press } from '../viewer/elements.js';
import { knownGaps } from '../viewer/gap-painter.js';
import { createStage, drawingContext, type Stage } from '../viewer/stage.js';
import { NOT_COMPUTED, setBands } from '../viewer/surface-material.js';
import { unpackView } from '../viewer/unpack-view.js';

const words = TEXT.compare;

/** A result as the page holds it: its plan, and its report's sheet, for the picture in it. */
export interface Result {
  readonly plan: Plan;
  readonly sheet: HTMLElement;
}

/**
 * Keeps a result beside those that follow it: what differs is told over the new report, and the kept part is seen
 * beside the new one.
 */
export function keepResults(root: ParentNode) {
  const button = need(root, 'keep', HTMLButtonElement),
    note = need(root, 'kept-note', HTMLElement);
  let shown: Result | null = null,
    kept: Result | null = null,
    seen: Stage | null = null;
  const tell = (): void => {
    button.disabled = shown === null && kept === null;
    button.textContent = kept === null ? words.keep : words.letGo;
    press(button, kept !== null);
    note.textContent =
      kept === null ? '' : words.keeps(kept.plan.source.name, minutesText(kept.plan.time.totalMinutes));
  };
  const clear = (): void => {
    seen?.dispose();
    seen = null;
    for (const id of ['compared', 'kept-stage']) root.querySelector(`#${id}`)?.remove();
    root.querySelector('.twins')?.classList.remove('twins');
  };
  onClick(root, 'keep', () => {
    kept = kept === null ? shown : null;
    clear();
    tell();
  });
  return {
    /** @param stage the view of the new result; null: it has none */
    show: async (result: Result, stage: Stage | null): Promise<void> => {
      clear();
      shown = result;
      tell();
      if (kept === null) return;
      const html = `<h2>${words.title}</h2>${comparisonHtml(kept.plan, result.plan)}`;
      result.sheet.before(make('section', { id: 'compared', className: 'sheet', innerHTML: html }));
      if (stage !== null) seen = await showBeside(kept, result.sheet, stage);
    },
  };
}

/** Draws the part of a kept result beside that of the new one, seen and coloured alike. */
async function showBeside({ sheet }: Result, beside: HTMLElement, main: Stage): Promise<Stage | null> {
  const facts: SceneFacts = JSON.parse(need(sheet, 'scene-facts', HTMLScriptElement).text);
  const view = await unpackView(need(sheet, 'packed-view', HTMLScriptElement).text, facts.mesh);
  const canvas = make('canvas', { role: 'img', ariaLabel: words.view });
  const context = drawingContext(canvas);
  if (context === null) return null;
  const which = make('p', { className: 'which' });
  const box = need(beside, 'v-stage', HTMLElement);
  box.after(make('div', { id: 'kept-stage', className: 'stage' }, canvas, which));
  box.parentElement?.classList.add('twins');
  const stage = createStage(canvas, context, view, facts);
  const modes = need(beside, 'v-mode', HTMLSelectElement),
    cutters = need(beside, 'v-cutter', HTMLSelectElement);
  const colour = (): void => {
    const mode = modes.value as ColourMode;
    const cutter = facts.cutters.find(({ id }) => id === cutters.value);
    const gaps = cutter === undefined ? null : knownGaps(view, facts, cutter);
    stage.setGaps(gaps ?? new Float32Array(view.counts.length).fill(NOT_COMPUTED));
    setBands(stage.material, mode, bandsOf(mode, facts, gaps !== null));
    which.textContent = mode === 'gap' && gaps === null ? words.keptWithout(cutters.value) : words.kept;
    stage.redraw();
  };
  for (const list of [modes, cutters]) list.addEventListener('change', colour, { signal: stage.ended });
  colour();
  const drawMain = main.onDrawn;
  main.onDrawn = () => {
    drawMain();
    stage.rig.follow(main.rig.pose());
    stage.setSection(...main.section());
    stage.moved();
  };
  stage.ended.addEventListener('abort', () => {
    main.onDrawn = drawMain;
  });
  main.redraw();
  return stage;
}
