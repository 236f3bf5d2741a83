/** A cell to the left, or (a number already formatted) to the right. */
export type Align = 'left' | 'right';

/**
 * Plain columns, indented and apart by two spaces, each as wide as its widest cell; no trailing blanks.
 *
 * @param align one per column; columns beyond its end are on the left
 */
export function textTable(rows: readonly (readonly string[])[], align: readonly Align[]): string[] {
  const widths: number[] = [];
  for (const row of rows) row.forEach((cell, i) => (widths[i] = Math.max(widths[i] ?? 0, cell.length)));
  return rows.map((row) => {
    const cells = row.map((cell, i) =>
      align[i] === 'right' ? cell.padStart(widths[i]) : cell.padEnd(widths[i]),
    );
    return `  ${cells.join('  ')}`.trimEnd();
  });
}

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
