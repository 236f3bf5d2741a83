/** Characters that a terminal obeys, or that turn the direction of what follows. */
const CONTROL = /[\p{Cc}\p{Bidi_Control}\u2028\u2029]/gu;

/** The text with U+FFFD for every character that would not be shown but do something. */
export const printable = (text: string): string => text.replace(CONTROL, '\uFFFD');
