import { expect, test } from 'vitest';
import { PLACEHOLDER_MACHINE } from '../../src/time/machine.js';
import { quote } from '../../src/time/quote.js';
import { csvText, cuttersCsv, quoteCsv, zonesCsv } from '../../src/write/csv.js';
import { samplePlan } from '../support/plan-sample.js';

/** Reads RFC 4180 text by the grammar of its section 2, knowing nothing of the writer. */
function readCsv(text: string): string[][] {
  const rows: string[][] = [];
  let row: string[] = [];
  let at = 0;
  while (at < text.length) {
    let cell = '';
    if (text[at] === '"') {
      for (at++; !(text[at] === '"' && text[at + 1] !== '"'); at++) {
        if (at >= text.length) throw new Error('quote never closed');
        if (text[at] === '"') at++;
        cell += text[at];
      }
      at++;
    } else {
      while (at < text.length && !',\r\n"'.includes(text[at])) cell += text[at++];
    }
    row.push(cell);
    if (text[at] === ',') at++;
    else if (text.startsWith('\r\n', at)) {
      at += 2;
      rows.push(row);
      row = [];
    } else throw new Error(`neither comma nor CRLF at ${at}`);
  }
  return rows;
}

test('every cell survives the trip', () => {
  const cells = ['plain', 'a,b', 'say "so"', 'two\r\nlines', ' spaced ', '', '"'];
  expect(
    readCsv(
      csvText(
        cells.map((_, i) => `c${i}`),
        [cells],
      ),
    )[1],
  ).toEqual(cells);
});

test.each(['=1+1', '+1', '-1', '@x', '\tx', '\rx', ' =1+1', '\u00a0=1', '\u200b+1', '＝1+1', '－1'])(
  'text %j cannot be taken for a formula',
  (text) => {
    expect(readCsv(csvText(['name'], [[text]]))[1]).toEqual([`'${text}`]);
  },
);

test('numbers stay numbers, also negative; null is empty; rows must be as wide as the header', () => {
  expect(csvText(['a', 'b', 'c'], [[-3.2, 0.1 + 0.2, null]])).toBe('a,b,c\r\n-3.2,0.3,\r\n');
  expect(() => csvText(['a', 'b'], [[1]])).toThrow(RangeError);
  expect(() => csvText(['a'], [[Infinity]])).toThrow(RangeError);
});

test('zones and cutters of a plan', () => {
  const plan = samplePlan();
  const zones = readCsv(zonesCsv(plan));
  expect(zones[1]).toEqual(['0', 'steep', '1750', '0', '0', '-1', '40', '30', '12.5', '2']);
  const cutters = readCsv(cuttersCsv(plan));
  expect(cutters).toHaveLength(3);
  expect(Object.fromEntries(cutters[0].map((key, i) => [key, cutters[2][i]]))).toMatchObject({
    order: '2',
    cutterId: 'ball-1',
    DC: '1',
    RE: '0.5',
    APMX: '1',
    LU: '6',
    stickoutMm: '7.5',
    minutes: '2.25',
    placeholder: 'yes',
    exceedsUsable: 'yes',
    savesMinutes: '',
  });
});

test('a quote sheet: 60 min at 60 an hour and 0.5 of wear a minute, one change of 20 s, half an hour of set-up', () => {
  const rows = readCsv(
    quoteCsv(quote([{ id: 'ball-6', minutes: 60, wearCostPerMinute: 0.5 }], 1, PLACEHOLDER_MACHINE)),
  );
  expect(rows.map((row) => row.length)).toEqual([8, 8, 8, 8, 8]);
  expect(rows[1].slice(0, 7)).toEqual(['finishing with ball-6', '45', '60', '75', '67.5', '90', '113']);
  expect(rows[4].slice(0, 7)).toEqual(['total with set-up', '75.3', '90.3', '105', '97.8', '120', '143']);
});
