/** Words of HTML, without tags; groups of digits closed up. */
export const plainText = (html: string): string =>
  html
    .replaceAll(/<span class="paper-only".*?<\/span>/g, '')
    .replaceAll(/<span class="whole">(.*?)<\/span>/g, '$1')
    .replaceAll(/<[^>]*>/g, ' ')
    .replaceAll('\u202F', '')
    .replaceAll(/\s+/g, ' ')
    .trim();

export type Row = Readonly<Record<string, string>>;

/** Rows of the report's table whose caption begins so, each cell under its head; none where there is no table. */
export function reportRows(html: string, caption: string): Row[] {
  const tables = [...html.matchAll(/<table><caption>(.*?)<\/caption>(.*?)<\/table>/gs)];
  return tables
    .filter(([, title]) => title.startsWith(caption))
    .flatMap(([, , table]) => {
      const [head, ...rows] = [...table.matchAll(/<tr[^>]*>(.*?)<\/tr>/gs)].map(([, row]) =>
        [...row.matchAll(/<t[hd][^>]*>(.*?)<\/t[hd]>/gs)].map(([, cell]) => plainText(cell)),
      );
      return rows.map((cells) => Object.fromEntries(cells.map((cell, i) => [head[i], cell])));
    });
}

/** What the report answers: the large word and the note under it, by name. */
export function reportAnswers(
  html: string,
): ReadonlyMap<string, { readonly value: string; readonly note: string }> {
  const answers = [
    ...html.matchAll(/<dt>([^<]*)<\/dt><dd><strong>(.*?)<\/strong><small>(.*?)<\/small><\/dd>/gs),
  ];
  return new Map(
    answers.map(([, name, value, note]) => [name, { value: plainText(value), note: plainText(note) }]),
  );
}
