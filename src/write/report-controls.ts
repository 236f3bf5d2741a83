import { xmlText } from './svg-text.js';
import { TEXT } from './report-text.js';
import type { SceneFacts } from './scene-facts.js';

const words = TEXT.view;
/** Names of the standard views, in the order of the keys 1 to 7; the viewer knows them by these. */
export const VIEW_NAMES = ['corner', 'top', 'front', 'right', 'back', 'left', 'below'] as const;

/**
 * The view with its controls; the viewer script brings it to life. Everything a drag does has a button or a
 * key.
 */
export function viewHtml(facts: SceneFacts): string {
  return (
    `<div class="view">
<div><div class="stage" id="v-stage">
<canvas id="v-canvas" tabindex="0" role="application" aria-label="${xmlText(words.canvas)}"></canvas>
<svg class="cross" viewBox="0 0 17 17" aria-hidden="true"><path d="M8.5 0V17M0 8.5H17" stroke="#fff" stroke-width="3"/>` +
    `<path d="M8.5 0V17M0 8.5H17" stroke="#000"/></svg>
<svg class="compass" id="v-compass" viewBox="-42 -42 84 84" aria-hidden="true" hidden>${['X', 'Y', 'Z'].map((name) => `<g><line/><text>${name}</text></g>`).join('')}</svg>
<div class="scale" id="v-scale" hidden></div>
<p class="task" id="v-task" hidden><label id="v-task-name" for="v-task-bar"></label><progress id="v-task-bar" max="1" value="0"></progress></p>
<p class="note" id="v-note">${xmlText(words.noView)}</p></div>
<img class="print-view" id="v-print" alt="" hidden>
<div class="row no-print" id="v-views" role="group" aria-label="${words.views}">${viewButtons()}</div>
<p id="v-status" class="no-print hint" role="status"></p>${helpTable()}</div>
<div class="panel">${colourFields(facts)}${pointFields(facts)}${sectionFields(facts)}</div></div>`
  );
}

const button = (id: string, text: string, pressed?: boolean): string =>
  `<button type="button" id="v-${id}"${pressed === undefined ? '' : ` aria-pressed="${pressed}"`}>${xmlText(text)}</button>`;
/** @param path of its sign, in a square of side 16 */
const icon = (id: string, label: string, path: string): string =>
  `<button type="button" class="icon" id="v-${id}" aria-label="${xmlText(label)}" title="${xmlText(label)}">` +
  `<svg viewBox="0 0 16 16" aria-hidden="true"><path d="${path}"/></svg></button>`;
/** An arrow to the right, a bent one, and the same towards other sides. */
const ARROWS = {
  right: 'M2 8H13M9 4l4 4-4 4',
  left: 'M14 8H3M7 4L3 8l4 4',
  up: 'M8 14V3M4 7l4-4 4 4',
  down: 'M8 2V13M4 9l4 4 4-4',
} as const;
const TURNS = {
  left: 'M13 11A6 6 0 1 0 4 11M4 6v5h5',
  right: 'M3 11A6 6 0 1 1 12 11M12 6v5H7',
  up: 'M11 13A5 5 0 1 1 11 4M7 4h4v4',
  down: 'M11 3A5 5 0 1 0 11 12M7 12h4V8',
} as const;

function viewButtons(): string {
  const standard = VIEW_NAMES.map((name, i) => button(`from-${name}`, words.views7[i]));
  return [
    button('fit', words.fit),
    ...standard,
    button('perspective', words.perspective, false),
    button('edges', words.edges, true),
    button('borders', words.bordersShown, true),
    button('axes', words.axes, true),
    icon('zoom-in', words.zoomIn, 'M8 3V13M3 8H13'),
    icon('zoom-out', words.zoomOut, 'M3 8H13'),
    icon('turn-left', words.turnLeft, TURNS.left),
    icon('turn-right', words.turnRight, TURNS.right),
    icon('turn-up', words.turnUp, TURNS.up),
    icon('turn-down', words.turnDown, TURNS.down),
    icon('move-left', words.moveLeft, ARROWS.left),
    icon('move-right', words.moveRight, ARROWS.right),
    icon('move-up', words.moveUp, ARROWS.up),
    icon('move-down', words.moveDown, ARROWS.down),
    button('save', words.savePicture),
  ].join('');
}

/** Where there is no cutter there is nothing to choose for it, but the viewer looks for its controls. */
const hiddenWithout = ({ cutters }: SceneFacts): string => (cutters.length === 0 ? ' hidden' : '');

/** What mouse, fingers and keys do. */
function helpTable(): string {
  const [head, ...heads] = words.helpHeads;
  const rows = words.helpRows.map(
    ([what, ...how]) =>
      `<tr><th scope="row">${what}</th>${how.map((one) => `<td>${xmlText(one)}</td>`).join('')}</tr>`,
  );
  return (
    `<details class="no-print help"><summary>${words.help}</summary><table><thead><tr><td>${head}</td>` +
    `${heads.map((one) => `<th scope="col">${one}</th>`).join('')}</tr></thead><tbody>${rows.join('')}</tbody></table></details>`
  );
}

function colourFields(facts: SceneFacts): string {
  const { cutters, split, modes: offered } = facts,
    hidden = hiddenWithout(facts);
  const modes = offered
    .map((mode) => `<option value="${mode}">${xmlText(words.colourModes[mode])}</option>`)
    .join('');
  const balls = cutters.map(({ id }) => `<option>${xmlText(id)}</option>`).join('');
  return `<fieldset><legend>${words.legend}</legend>
<div class="no-print"><div class="field"><label for="v-mode">${words.colourBy}</label><select id="v-mode">${modes}</select></div>
<div${hidden}><div class="field" id="v-cutter-row"><label for="v-cutter">${words.cutter}</label><select id="v-cutter">${balls}</select></div>
${slider('split', `${words.split}, °`, [0, 90, 0.5], split.angleDeg)}${slider('overlap', `${words.overlap}, °`, [0, 45, 0.5], split.overlapDeg)}
<div class="row">${button('reset', words.reset)}</div></div></div>
<ul class="keys" id="v-legend"></ul><p class="hint no-print"${hidden}>${words.filterHint}</p><p class="hint" id="v-live"></p></fieldset>`;
}

function slider(
  id: string,
  label: string,
  [min, max, step]: readonly [number, number, number],
  value: number,
): string {
  return `<div class="field slider"><label for="v-${id}">${label}</label>
<input type="range" id="v-${id}" min="${min}" max="${max}" step="${step}" value="${value}">
<input type="text" inputmode="decimal" id="v-${id}-number" value="${value}" aria-label="${label}" size="5" aria-describedby="v-${id}-bad">
<p class="bad" id="v-${id}-bad" role="alert" hidden></p></div>`;
}

function pointFields(facts: SceneFacts): string {
  return `<fieldset class="no-print"><legend>${words.point}</legend>
<div class="row">${button('read', words.readMiddle)}${button('measure', words.measure, false)}${button('clear', words.clear)}</div>
<div${hiddenWithout(facts)}><label><input type="checkbox" id="v-show-cutter">${words.showCutter}</label></div>
<div class="readout" id="v-readout"><p class="hint">${xmlText(words.pointHint)}</p></div></fieldset>`;
}

function sectionFields({ boundsMm: { min, max } }: SceneFacts): string {
  return `<fieldset class="no-print"><legend>${words.section}</legend>
<div class="row"><label><input type="checkbox" id="v-section">${words.sectionOn}</label>
<label for="v-section-axis">${words.across}</label>
<select id="v-section-axis"><option>X</option><option selected>Y</option><option>Z</option></select>
${button('section-flip', words.flip, false)}</div>
${slider('section-at', words.at, [min[1], max[1], 0.1], Math.round(5 * (min[1] + max[1])) / 10)}</fieldset>`;
}
