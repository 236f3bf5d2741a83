import type { Style } from '../write/summary.js';
import { wantsColour, type Io } from './io.js';

/** SGR codes of ECMA-48: bold, green, yellow, red. */
const CODES: Readonly<Record<Style, number>> = { heading: 1, info: 32, warning: 33, error: 31 };

/** Colours text for this terminal, or leaves it alone where colour is not wanted. */
export function painter(io: Io): (style: Style, text: string) => string {
  if (!wantsColour(io)) return (_style, text) => text;
  return (style, text) => `\u001b[${CODES[style]}m${text}\u001b[0m`;
}
