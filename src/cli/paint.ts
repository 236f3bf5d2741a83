import { LEAST_WIDTH, type Style, type SummaryOptions } from '../write/summary.js';
import { wantsColour, type Io } from './io.js';

/** SGR codes of ECMA-48: bold, green, yellow, red. */
const CODES: Readonly<Record<Style, number>> = { heading: 1, info: 32, warning: 33, error: 31 };

/** Colours text for this terminal, or leaves it alone where colour is not wanted. */
export function painter(io: Io): (style: Style, text: string) => string {
  if (!wantsColour(io)) return (_style, text) => text;
  return (style, text) => `\u001b[${CODES[style]}m${text}\u001b[0m`;
}

/** How text is laid out for this terminal. */
export const layout = (io: Io): Required<Pick<SummaryOptions, 'paint' | 'width'>> => ({
  paint: painter(io),
  width: Math.max(LEAST_WIDTH, io.outColumns ?? 0),
});
