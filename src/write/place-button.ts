import { TEXT } from './report-text.js';
import { xmlText } from './svg-text.js';

const { showPlace } = TEXT.report.tables;

const button = (data: string, label: string, name: string): string =>
  `<button type="button" class="link on-screen" ${data} aria-label="${xmlText(label)}">${name}</button>` +
  `<span class="paper-only" aria-hidden="true">${name}</span>`;

/** Leads to a place in the view; its bare name on paper. */
export const placeButton = (name: string): string =>
  button(`data-place="${name}"`, showPlace.place(name), name);

/** Leads to a region in the view. */
export const regionButton = (id: number): string =>
  button(`data-region="${id}"`, showPlace.region(`${id}`), `${id}`);
