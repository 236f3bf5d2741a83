import { expect, test } from 'vitest';
import { comparisonHtml } from '../../src/write/compare.js';
import { samplePlan } from '../support/plan-sample.js';
import { plainText, reportRows } from '../support/read-report.js';

const kept = samplePlan();

test('two plans: what differs in a sentence, in figures with their difference, and in the set-up', () => {
  const { time, operations, setup, notMilled } = kept;
  const now = samplePlan({
    time: { ...time, totalMinutes: time.totalMinutes * 1.5, cost: 100, currency: 'EUR' },
    operations: { ...operations, totalMinutes: operations.totalMinutes - 2 },
    setup: {
      ...setup,
      scallopMm: 0.01,
      block: [120, 80, 40],
      machine: { ...setup.machine, maxFeedMmPerMin: 1234 },
    },
    notMilled: [],
  });
  const html = comparisonHtml(kept, now);
  const more = time.totalMinutes * 0.5;
  expect(plainText(html)).toContain(`finishing takes ${Number(more.toFixed(1))} min more`);
  expect(plainText(html)).toContain('all stages from the block 2 min less');
  const figures = new Map(reportRows(html, 'Figures of both').map((row) => [row.Figure, row]));
  expect(figures.get('Finishing, all cutters')!['New less kept']).toBe(`+${Number(more.toFixed(1))} (+50 %)`);
  expect(figures.get('Cost')!.New).toBe('100 EUR');
  expect(figures.get('Split')!['New less kept']).toBe('the same');
  expect(figures.get('Places that milling does not make')).toMatchObject({
    Kept: String(notMilled.length),
    New: '0',
  });
  expect(reportRows(html, 'What of the set-up differs')).toEqual([
    { Option: 'Scallop height', Kept: String(setup.scallopMm), New: '0.01' },
    { Option: 'Block', Kept: String(setup.block), New: '120; 80; 40' },
    { Option: 'Machine: Greatest feed, mm/min', Kept: String(setup.machine.maxFeedMmPerMin), New: '1234' },
  ]);
});

test('the same plan twice: as long, as much, no option; another part is said to be one', () => {
  const html = comparisonHtml(kept, kept);
  expect(plainText(html)).toContain('finishing takes as long, all stages from the block as long');
  expect(plainText(html)).toContain('The set-ups are the same.');
  const rows = reportRows(html, 'Figures of both');
  expect(rows.length).toBeGreaterThan(10);
  for (const row of rows) expect(row['New less kept'], row.Figure).toMatch(/^(the same)?$/);
  expect(html).not.toContain('Not the same part');
  const other = samplePlan({ source: { ...kept.source, name: 'lid.stl', sha256: '0'.repeat(64) } });
  expect(plainText(comparisonHtml(kept, other))).toContain(`${kept.source.name} is kept, lid.stl is new`);
});
