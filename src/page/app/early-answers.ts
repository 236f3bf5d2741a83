import type { EarlyAnswers } from '../../survey/survey.js';
import { keyPatterns } from '../../write/key-patterns.js';
import { classTable, ladderTable } from '../../write/report-tables.js';
import { TEXT } from '../../write/report-text.js';
import { xmlText } from '../../write/svg-text.js';
import { make } from '../viewer/elements.js';

const words = TEXT.page;

/** Puts answers that are final below the early picture, with a word on what is still to come. */
export function showAnswers(box: HTMLElement, answers: EarlyAnswers): void {
  const isSurface = answers.kind === 'surface';
  const [known, toCome] = isSurface ? words.surfaceKnown : words.workKnown;
  const section = make('section', { className: 'early-answers' });
  section.innerHTML = `<p><strong>${xmlText(known)}</strong> <span class="to-come">${xmlText(toCome)}</span></p>${
    isSurface ? keyPatterns() + classTable(answers) : ladderTable(answers)
  }`;
  box.append(section);
  box.hidden = false;
}
