/** A cell to the left, or (a number already formatted) to the right. */
export type Align = 'left' | 'right';

/**
 * Plain columns, indented and apart by two spaces, each as wide as its widest cell; no trailing blanks.
 *
 * @param align one per column; columns beyond its end are on the left
 * @param most columns of the terminal: where a line would be longer the widest columns on the left go on below, for no
 *   figure may be cut off
 * @returns a row each, of one line or more
 */
export function textTable(
  rows: readonly (readonly string[])[],
  align: readonly Align[],
  most = Infinity,
): string[] {
  const widths: number[] = [];
  for (const row of rows) row.forEach((cell, i) => (widths[i] = Math.max(widths[i] ?? 0, cell.length)));
  const words = [...widths.keys()].filter((i) => align[i] !== 'right' && widths[i] > LEAST_CELL);
  for (let over = widths.reduce((sum, width) => sum + width + 2, 0) - most; over > 0; over--) {
    const widest = words.reduce((a, b) => (widths[b] > widths[a] ? b : a), words[0] ?? -1);
    if (!(widths[widest] > LEAST_CELL)) break;
    widths[widest]--;
  }
  return rows.map((row) => {
    const cells = row.map((whole, i) => (whole.length > widths[i] ? broken(whole, widths[i]) : [whole]));
    const lines = Array.from({ length: Math.max(...cells.map(({ length }) => length)) }, (_, at) =>
      cells.map((own, i) => {
        const piece = own[at] ?? '';
        return align[i] === 'right' ? piece.padStart(widths[i]) : piece.padEnd(widths[i]);
      }),
    );
    return lines.map((line) => `  ${line.join('  ')}`.trimEnd()).join('\n');
  });
}

const broken = (cell: string, width: number): string[] =>
  wrapText(cell.replaceAll(new RegExp(`\\S{${width}}(?=\\S)`, 'g'), '$& '), width, '');

/** A column is made no narrower. */
const LEAST_CELL = 8;

/** Breaks a sentence at blanks so that no line is longer than `width`, unless a single word is. */
export function wrapText(text: string, width: number, indent: string): string[] {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(' ')) {
    if (line !== '' && indent.length + line.length + 1 + word.length > width) {
      lines.push(indent + line);
      line = word;
    } else {
      line = line === '' ? word : `${line} ${word}`;
    }
  }
  return [...lines, indent + line];
}
