import { beforeAll, expect, test } from 'vitest';
import { compensatedSum } from '../../src/core/sum.js';
import { DEFAULT_CATALOGUE } from '../../src/cutter/default-catalogue.js';
import { WORK, type Plan } from '../../src/plan/plan.js';
import { SETUP_DEFAULTS } from '../../src/resolve-setup.js';
import { PASSES } from '../../src/survey/pass-grounds.js';
import { surveyPart, type Survey } from '../../src/survey/survey.js';
import { LEAST_WIDTH, summaryText } from '../../src/write/summary.js';
import {
  PART_ALONE,
  PART_PATTERNS,
  partByPlan,
  partByReport,
  saidByHoles,
  saidByRelease,
  saidByWays,
} from '../support/part-said.js';
import { operationsByPlan, operationsByReport, saidByOperations } from '../support/operations-said.js';
import {
  CHOICE_PATTERNS,
  choiceByCutters,
  choiceByPlan,
  choiceByReport,
  saidByUnused,
} from '../support/choice-said.js';
import {
  notMilledByPlan,
  notMilledByReport,
  notMilledByTerminal,
  saidByNotMilled,
} from '../support/not-milled-said.js';
import { plainText, reportAnswers, reportRows } from '../support/read-report.js';
import * as shapes from '../support/shapes.js';
import { binaryStl } from '../support/stl.js';

const ring = (halfX: number, halfY: number, radius: number, z: number) => ({ halfX, halfY, radius, z });
/** A sharp pocket, a hole with a counterbore, and a hollow with a steep slope over a shallow one. */
const PART = shapes.pocketPlate({
  tileX: 50,
  tileY: 44,
  bottomZ: -24,
  tiles: [
    [
      { rings: [ring(15, 10, 0, 0), ring(15, 10, 0, -10)], facets: 1 },
      { rings: [ring(9, 9, 9, 0), ring(9, 9, 9, -5), ring(6, 6, 6, -5), ring(6, 6, 6, -14)], facets: 12 },
      { rings: [ring(17, 16, 8, 0), ring(15, 14, 6, -4), ring(11, 10, 2, -6)], facets: 12 },
    ],
  ],
});

/** What one output says: figures and words by what they mean, as they are printed. */
type Said = ReadonlyMap<string, string>;

let survey: Survey, outputs: Readonly<Record<string, Said>>;

beforeAll(async () => {
  const { machine } = SETUP_DEFAULTS;
  const balls = DEFAULT_CATALOGUE.filter(({ id }) => ['ball-4', 'ball-5', 'ball-8'].includes(id)).map(
    (cutter) => ({
      ...cutter,
      wearCostPerMinute: 0.5,
    }),
  );
  survey = await surveyPart(
    binaryStl(shapes.turned(PART, 13.7)),
    'pocket.stl',
    {
      ...SETUP_DEFAULTS,
      unit: 'mm',
      radiiMm: [2, 4],
      minDraftDeg: 1,
      // Its raster is a fillet's, which lines at constant spacing would take over: tried apart.
      constantSpacingMm2: 0,
      cutters: [...balls, { ...balls[2], id: 'flat-8', RE: 0 }],
      machine: { ...machine, currency: 'EUR', hourlyRate: 75, timeFactor: 1.7 },
    },
    {},
  );
  outputs = {
    'plan.json': saidByPlan(JSON.parse(text('plan.json')) as Plan),
    terminal: saidByTerminal(
      summaryText(survey.plan, { paint: (_, word) => word, written: null, width: LEAST_WIDTH }),
    ),
    'report.html': saidByReport(text('report.html')),
    'zones.csv': saidByZones(csv('zones.csv')),
    'cutters.csv': new Map([...saidByCutters(csv('cutters.csv')), ...choiceByCutters(csv('cutters.csv'))]),
    'cutters-not-used.csv': saidByUnused(csv('cutters-not-used.csv')),
    'quote.csv': saidByQuote(csv('quote.csv')),
    'operations.csv': saidByOperations(csv('operations.csv')),
    'not-milled.csv': saidByNotMilled(csv('not-milled.csv')),
    'ways-up.csv': saidByWays(csv('ways-up.csv')),
    'holes.csv': saidByHoles(csv('holes.csv')),
    'release.csv': saidByRelease(csv('release.csv')),
    'drawing-a4.svg': saidByDrawing(text('drawing-a4.svg')),
    'outlines.svg': saidByOutlines(text('outlines.svg')),
    'the view': saidByView(text('report.html')),
  };
});

const text = (name: string): string => String(survey.files.get(name));
const csv = (name: string): Readonly<Record<string, string>>[] => {
  const [head, ...rows] = text(name)
    .trim()
    .split('\r\n')
    .map((line) => line.split(/,(?=(?:[^"]*"[^"]*")*[^"]*$)/).map((cell) => cell.replace(/^"(.*)"$/, '$1')));
  return rows.map((cells) => Object.fromEntries(cells.map((cell, i) => [head[i], cell])));
};

/** What the tiles of the report tell besides. */
const timeByPlan = ({ time, setup, notMilled }: Plan): [string, number | string | null][] => [
  ['finishing', time.finishingMinutes],
  ['changes', time.toolChangeMinutes],
  ['total', time.totalMinutes],
  ['low', time.lowMinutes],
  ['high', time.highMinutes],
  ['total with set-up', time.totalMinutes + time.setUpMinutes],
  ['low with set-up', time.lowMinutes + time.setUpMinutes],
  ['high with set-up', time.highMinutes + time.setUpMinutes],
  ['set-up', time.setUpMinutes],
  ['cost', time.cost],
  ['low cost', time.lowCost],
  ['high cost', time.highCost],
  ['currency', time.currency],
  ['rate', setup.machine.hourlyRate],
  ['left in all', notMilled.reduce((sum, { areaMm2 }) => sum + areaMm2, 0)],
];

function saidByPlan(plan: Plan): Said {
  const { mesh, classes, split, passes, ladder, regions, reach, setup } = plan;
  const said = new Map<string, string>();
  const say = (key: string, value: number | string | null): void => {
    if (value !== null) said.set(key, typeof value === 'number' ? value.toFixed(9) : value);
  };
  say('mesh area', mesh.areaMm2);
  for (const [key, value] of partByPlan(plan)) say(key, value);
  for (const [name, { areaMm2, planAreaMm2, regions: count }] of Object.entries(classes)) {
    say(`${name} area`, areaMm2);
    say(`${name} plan`, planAreaMm2);
    say(`${name} regions`, count);
  }
  say('split', split.angleDeg);
  for (const name of PASSES.filter((one) => passes[one].areaMm2 > 0)) {
    say(`${name} area`, passes[name].areaMm2);
    say(`${name} step`, passes[name].spacingMm);
    say(`${name} widest step`, passes[name].widestSpacingMm);
    say(`${name} path m`, passes[name].pathLengthMm / 1000);
    say(`${name} minutes`, passes[name].minutes);
    say(`${name} above`, passes[name].areaAboveScallopMm2);
  }
  for (const kind of ['floors', 'walls'] as const)
    for (const { cutterId, areaMm2, spacingMm, pathLengthMm, minutes } of passes[kind]) {
      say(`${kind}, ${cutterId} area`, areaMm2);
      say(`${kind}, ${cutterId} step`, spacingMm);
      say(`${kind}, ${cutterId} path m`, pathLengthMm / 1000);
      say(`${kind}, ${cutterId} minutes`, minutes);
      // By definition: along floor and wall it leaves none.
      say(`${kind}, ${cutterId} above`, 0);
    }
  const ofBall = [passes.waterline, passes.raster, passes.constant];
  say('ridges above', compensatedSum(ofBall.map((pass) => pass.areaAboveScallopMm2)));
  say('both passes', compensatedSum(ofBall.map(({ minutes }) => minutes)));
  say('asked ridge', setup.scallopMm);
  ladder.forEach((rung, i) => {
    say(`cutter ${i} id`, rung.cutterId);
    say(`cutter ${i} DC`, rung.DC);
    say(`cutter ${i} RE`, rung.RE);
    say(`cutter ${i} finishes`, rung.finishedAreaMm2);
    say(`cutter ${i} leaves`, rung.unreachedAreaMm2);
    say(`cutter ${i} stickout`, rung.stickoutMm);
    say(`cutter ${i} minutes`, rung.minutes);
    say(`cutter ${i} cleans`, rung.restAreaMm2);
    say(`cutter ${i} takes away`, rung.restVolumeMm3);
    say(`cutter ${i} places`, rung.restAreaMm2 === null ? null : rung.restRegions.length);
    rung.restRegions.forEach(({ id, areaMm2 }) => say(`C${i + 1}.${id} area`, areaMm2));
  });
  say('next best', plan.ladderSecond?.cutterIds.join(' ') ?? null);
  say('next best more', plan.ladderSecond?.extraMinutes ?? null);
  for (const byPlan of [timeByPlan, choiceByPlan, notMilledByPlan, operationsByPlan])
    for (const [key, value] of byPlan(plan)) say(key, value);
  say('tightest', reach.smallestRadiusMm);
  for (const { id, class: cls, areaMm2, cutterId, stickoutMm, work } of regions) {
    if (work.length > 0)
      say(
        `region ${id} minutes`,
        work.reduce((sum, { minutes }) => sum + minutes, 0),
      );
    for (const { cutterId: by, pass, minutes } of work) say(`region ${id} ${by} ${pass}`, minutes);
    say(`region ${id} class`, cls);
    say(`region ${id} area`, areaMm2);
    say(`region ${id} cutter`, cutterId);
    say(`region ${id} stickout`, stickoutMm);
  }
  for (const [letter, places] of [
    ['T', reach.tightRegions],
    ['L', reach.leftover],
  ] as const) {
    for (const { id, areaMm2, depthMm, centreMm, reachRadiusMm, cutterId, stickoutMm } of places) {
      say(`${letter}${id} area`, areaMm2);
      say(`${letter}${id} depth`, depthMm);
      say(`${letter}${id} at`, centreMm.map((x) => x.toFixed(9)).join(' '));
      say(`${letter}${id} radius`, reachRadiusMm);
      say(`${letter}${id} cutter`, cutterId);
      say(`${letter}${id} stickout`, stickoutMm);
    }
  }
  say('leftover', compensatedSum(reach.leftover.map(({ areaMm2 }) => areaMm2)));
  for (const { radiusMm, unreachedAreaMm2, restVolumeMm3 } of reach.byRadius) {
    say(`R ${radiusMm} leaves`, unreachedAreaMm2);
    say(`R ${radiusMm} volume`, restVolumeMm3);
  }
  return said;
}

/** Collects what patterns find: each names its groups by what they mean. */
function collected(
  source: string,
  patterns: readonly (readonly [RegExp, ...string[]])[],
): Map<string, string> {
  const said = new Map<string, string>();
  for (const [pattern, ...meanings] of patterns) {
    const found = pattern.exec(source);
    expect(found, `${pattern} in\n${source}`).not.toBeNull();
    meanings.forEach((meaning, i) => said.set(meaning, found?.[i + 1] ?? ''));
  }
  return said;
}

const N = '(-?[\\d.]+)';
const pattern = (words: string): RegExp => new RegExp(words.replaceAll('#', N).replaceAll(' ', '\\s+'));

/** Passes over floors and walls, and the cutters. */
const MILL_AND_LADDER: Parameters<typeof collected>[1] = [
  ...(['floors', 'walls'] as const).map(
    (kind) =>
      [
        pattern(`${kind} of flat-8 # mm² (?:over|down) # # m # min`),
        ...['area', 'step', 'path m', 'minutes'].map((what) => `${kind}, flat-8 ${what}`),
      ] as const,
  ),
  [pattern('next best: ([-\\w, ]+), # min more'), 'next best', 'next best more'],
  ...[0, 1, 2].map(
    (i) =>
      [
        pattern(`\n ${i + 1} (\\w+-\\d) # # # # # #`),
        ...['id', 'DC', 'RE', 'finishes', 'leaves', 'stickout', 'minutes'].map(
          (what) => `cutter ${i} ${what}`,
        ),
      ] as const,
  ),
  ...['ball-8 cleans after flat-8', 'ball-4 cleans after ball-8'].map(
    (words, i) =>
      [
        pattern(`${words}: # mm² in # places?, # mm³`),
        ...['cleans', 'places', 'takes away'].map((what) => `cutter ${i + 1} ${what}`),
      ] as const,
  ),
  ...CHOICE_PATTERNS.map(([words, ...meanings]) => [pattern(words), ...meanings] as const),
];

function saidByTerminal(page: string): Said {
  const said = collected(page, [
    ...['level', 'shallow', 'steep', 'underside', 'outside'].map(
      (name) =>
        [pattern(`${name} # mm² # % # region`), `${name} area`, `${name} share`, `${name} regions`] as const,
    ),
    ...PART_PATTERNS.map(([words, ...meanings]) => [pattern(words), ...meanings] as const),
    [pattern('Split # deg'), 'split'],
    [
      pattern('waterline from # deg # mm² down (?=#)(?:[\\d.]+-)?# # m # min'),
      'split',
      'waterline area',
      'waterline step',
      'waterline widest step',
      'waterline path m',
      'waterline minutes',
    ],
    [
      pattern('raster to # deg # mm² over (?=#)(?:[\\d.]+-)?# # m # min'),
      'split end',
      'raster area',
      'raster step',
      'raster widest step',
      'raster path m',
      'raster minutes',
    ],
    ...MILL_AND_LADDER,
    [
      pattern('# to # min, likely # min: finishing # min, tool changes # min'),
      'low',
      'high',
      'total',
      'finishing',
      'changes',
    ],
    ...['roughing', 'semi-finishing'].map(
      (name) =>
        [
          pattern(`${name}, [-\\w, ]+: # min, # mm³, leaves # mm`),
          `${name} minutes`,
          `${name} volume`,
          `${name} leaves`,
        ] as const,
    ),
    [
      pattern('finishing as above: # min; # tool changes # min'),
      'finishing',
      'count of changes',
      'all changes',
    ],
    [pattern('in all # min, off a box of'), 'all stages'],
    [
      pattern('with # min of set-up: # to # min, likely # min'),
      'set-up',
      'low with set-up',
      'high with set-up',
      'total with set-up',
    ],
    [
      pattern('cost # to # (\\w+), likely #, at # an hour, set-up in it, cutter wear in it'),
      'low cost',
      'high cost',
      'currency',
      'cost',
      'rate',
    ],
  ]);
  said.set('next best', said.get('next best')?.replaceAll(',', '') ?? '');
  for (const [key, value] of notMilledByTerminal(page)) said.set(key, value);
  const [, name, at] =
    /tightest place: [^,]*, [^,]*, (T\d+) at ([-\d. ]+)/.exec(page.replaceAll(/\s+/g, ' ')) ?? [];
  said.set('tightest name', name).set(`${name} at`, at.trim());
  return said;
}

const first = (cell: string): string => /<?-?[\d.]+/.exec(cell.replace('under ', '<'))?.[0] ?? cell;

/** The tiles of the report's answers. */
function sayAnswers(said: Map<string, string>, html: string): void {
  const answers = reportAnswers(html);
  const answer = (name: string) => answers.get(name) ?? { value: '', note: '' };
  said.set('total', first(answer('Finishing, all cutters').value));
  const [, low, high, withSetUp] =
    pattern('estimate: # to # min; with set-up # min').exec(answer('Finishing, all cutters').note) ?? [];
  said.set('low', low).set('high', high).set('total with set-up', withSetUp);
  said.set('split', first(answer('Split').value));
  const [, waterline, raster] = pattern('waterline # mm², raster # mm²').exec(answer('Split').note) ?? [];
  said.set('waterline area', waterline).set('raster area', raster);
  said.set('cutter 0 id', answer('First cutter').value);
  const [, tightest, at] = /^(T\d+) at ([-\d., ]+); /.exec(answer('Tightest place').note) ?? [];
  said.set('tightest name', tightest).set(`${tightest} at`, at.replaceAll(',', ''));
  said.set('left in all', first(answer('Not milled').value));
  said.set('leftover', /too tight ([\d.]+) mm²/.exec(answer('Not milled').note)?.[1] ?? '');
  said.set('cost', first(answer('Cost').value)).set('currency', answer('Cost').value.split(' ')[1]);
  const [, rate, setUp] = pattern('at # an hour, # min of set-up in it').exec(answer('Cost').note) ?? [];
  said.set('rate', rate).set('set-up', setUp);
}

function saidByReport(html: string): Said {
  const said = new Map<string, string>([...partByReport(html, first), ...choiceByReport(html, first)]);
  sayAnswers(said, html);
  said.set(
    'mesh area',
    first(/<dt>Mesh area<\/dt><dd>(.*?)<\/dd>/.exec(html)?.[1].replaceAll('\u202F', '') ?? ''),
  );
  reportRows(html, 'Cutters, in order of use').forEach((row, i) => {
    said.set(`cutter ${i} id`, row.cutter.replace(/^\d+\. /, ''));
    for (const [what, head] of [
      ['DC', 'DC'],
      ['RE', 'RE'],
      ['finishes', 'finishes'],
      ['leaves', 'leaves'],
      ['stickout', 'least stickout'],
      ['minutes', 'time'],
    ])
      said.set(`cutter ${i} ${what}`, first(row[head]));
  });
  for (const row of reportRows(html, 'Surface classes')) {
    const name = row.class.split(/[, ]/)[0] === 'outer' ? 'outside' : row.class.split(',')[0];
    said.set(`${name} area`, first(row.area)).set(`${name} plan`, first(row['in plan']));
    said.set(`${name} regions`, row.regions).set(`${name} share`, first(row['of the surface']));
  }
  for (const row of reportRows(html, 'Passes of')) {
    said.set(`${row.pass} area`, first(row.area)).set(`${row.pass} path m`, first(row.path));
    said.set(`${row.pass} minutes`, first(row.time)).set(`${row.pass} step`, first(row.step));
    said.set(`${row.pass} above`, first(row['above 0.005 mm']));
    if (['waterline', 'raster', 'constant'].includes(row.pass))
      said.set(`${row.pass} widest step`, first(row.step.replace(/^.* to /, '')));
  }
  for (const row of reportRows(html, 'Regions')) {
    said.set(`region ${row.region} class`, row.class).set(`region ${row.region} area`, first(row.area));
    if (row['first cutter'] === '–') continue;
    said.set(`region ${row.region} cutter`, row['first cutter']);
    said.set(`region ${row.region} stickout`, first(row['least stickout']));
  }
  for (const { region, class: cls, area, time, 'of all': _, ...passes } of reportRows(
    html,
    'Minutes by region, ',
  )) {
    said.set(`region ${region} class`, cls).set(`region ${region} area`, first(area));
    said.set(`region ${region} minutes`, first(time));
    for (const [head, minutes] of Object.entries(passes))
      if (minutes !== '–') said.set(`region ${region} ${head}`, first(minutes));
  }
  for (const [key, value] of notMilledByReport(html, first)) said.set(key, value);
  for (const row of reportRows(html, 'Not reached by')) {
    said.set(`${row.place} at`, row['x, y, z'].replaceAll(',', '')).set(`${row.place} area`, first(row.area));
    said.set(`${row.place} depth`, first(row['below the top']));
    said.set(
      `${row.place} radius`,
      row['ball radius it takes'] === 'no ball' ? '0' : first(row['ball radius it takes']),
    );
    if (row['finished by'] === 'none reaches all of it') continue;
    said
      .set(`${row.place} cutter`, row['finished by'])
      .set(`${row.place} stickout`, first(row['least stickout']));
  }
  for (const row of reportRows(html, 'Places that each cutter cleans'))
    said.set(`${row.place} area`, first(row['to clean']));
  for (const row of reportRows(html, 'Reach by ball radius')) {
    said.set(`R ${first(row['ball radius'])} leaves`, first(row['not reached']));
    said.set(`R ${first(row['ball radius'])} volume`, first(row['rest volume']));
  }
  for (const row of reportRows(html, 'Minutes by cutter').slice(0, -1))
    said.set(`minutes of ${row.cutter}`, first(row.time));
  sayRest(said, plainText(html));
  for (const [meaning, value] of operationsByReport(html, first)) said.set(meaning, value);
  return said;
}

/** What cutters clean, and the next best choice. */
function sayRest(said: Map<string, string>, plain: string): void {
  // Round a corner of a floor below a slope a ball gets nearer than a flat end does.
  for (const i of [1, 2]) {
    const words = pattern(`${said.get(`cutter ${i} id`)}: # mm² in # places?, # mm³`);
    const [, cleans, places, volume] = words.exec(plain) ?? [];
    said
      .set(`cutter ${i} cleans`, cleans)
      .set(`cutter ${i} places`, places)
      .set(`cutter ${i} takes away`, volume);
  }
  const [, next, more] = pattern('Next best: ([-\\w, ]+), # min more').exec(plain) ?? [];
  said.set('next best', next.replaceAll(',', '')).set('next best more', more);
}

const saidByZones = (rows: readonly Readonly<Record<string, string>>[]): Said =>
  new Map(
    rows.flatMap(({ id, class: cls, areaMm2 }) => [
      [`region ${id} class`, cls],
      [`region ${id} area`, areaMm2],
    ]),
  );

const CUTTER_KEYS = {
  id: 'cutterId',
  DC: 'DC',
  RE: 'RE',
  finishes: 'finishedAreaMm2',
  leaves: 'unreachedAreaMm2',
  stickout: 'stickoutMm',
  minutes: 'minutes',
  cleans: 'restAreaMm2',
  'takes away': 'restVolumeMm3',
} as const;
const saidByCutters = (rows: readonly Readonly<Record<string, string>>[]): Said =>
  new Map(
    rows.flatMap((row, i) => [
      ...Object.entries(CUTTER_KEYS)
        .filter(([, column]) => row[column] !== '')
        .map(([what, column]): [string, string] => [`cutter ${i} ${what}`, row[column]]),
      [`minutes of ${row.cutterId}`, row.minutes],
    ]),
  );

function saidByQuote(rows: readonly Readonly<Record<string, string>>[]): Said {
  const said = new Map<string, string>();
  const money =
    Object.keys(rows[0]).find((head) => head.startsWith('cost ') && head.endsWith(' likely')) ?? '';
  said.set('currency', money.split(' ')[1]);
  for (const row of rows) {
    const cutter = /^finishing with (.*)$/.exec(row.item)?.[1];
    if (cutter !== undefined) said.set(`minutes of ${cutter}`, row['minutes likely']);
    if (row.item === 'cutter changes') said.set('changes', row['minutes likely']);
    if (row.item === 'set-up') said.set('set-up', row['minutes likely']);
    if (!row.item.startsWith('total')) continue;
    expect(row.item).toBe('total with set-up');
    said.set('total with set-up', row['minutes likely']).set('low with set-up', row['minutes low']);
    said.set('high with set-up', row['minutes high']).set('cost', row[money]);
    said
      .set('low cost', row[money.replace('likely', 'low')])
      .set('high cost', row[money.replace('likely', 'high')]);
  }
  return said;
}

function saidByDrawing(svg: string): Said {
  const said = new Map<string, string>();
  for (const [, name, radius] of svg.matchAll(/>(T\d+) (R [\d.]+|no ball)</g))
    said.set(`${name} radius`, radius === 'no ball' ? '0' : radius.slice(2));
  said.set('split', /Split ([\d.]+)°/.exec(svg)?.[1] ?? '');
  return said.set('cutter 0 id', /First cutter ([^<]+)</.exec(svg)?.[1] ?? '');
}

const saidByOutlines = (svg: string): Said =>
  new Map(
    [...svg.matchAll(/<title>(\w+) region (\d+)<\/title>/g)].map(([, cls, id]) => [
      `region ${id} class`,
      cls,
    ]),
  );

/** What the legend and the tables' buttons show in the view. */
function saidByView(html: string): Said {
  const json = /<script type="application\/json" id="scene-facts">(.*?)<\/script>/s.exec(html)?.[1] ?? '';
  const facts = JSON.parse(json) as {
    classAreasMm2: Record<string, number>;
    ridges: { limitsMm: number[]; areasMm2: number[] };
    finishers: { cutterId: string; areaMm2: number }[];
    places: Record<string, { centreMm: number[] }>;
    regions: { id: number; areaMm2: number; cutterId: string | null; stickoutMm: number | null }[];
  };
  const said = new Map<string, string>();
  for (const [name, area] of Object.entries(facts.classAreasMm2)) said.set(`${name} area`, `${area}`);
  facts.finishers.forEach(({ cutterId, areaMm2 }, i) => {
    said.set(`cutter ${i} id`, cutterId).set(`cutter ${i} finishes`, `${areaMm2}`);
  });
  const { limitsMm, areasMm2 } = facts.ridges;
  const asked = limitsMm.findIndex((limit) => Math.abs(limit / survey.plan.setup.scallopMm - 1) < 1e-9);
  said.set(
    'ridges above',
    areasMm2
      .slice(asked + 1)
      .reduce((sum, area) => sum + area, 0)
      .toFixed(6),
  );
  for (const [name, { centreMm }] of Object.entries(facts.places))
    if (/^[TLWH]/.test(name)) said.set(`${name} at`, centreMm.map((x) => x.toFixed(6)).join(' '));
  for (const { id, areaMm2, cutterId, stickoutMm } of facts.regions) {
    said.set(`region ${id} area`, `${areaMm2}`);
    if (cutterId !== null) said.set(`region ${id} cutter`, cutterId);
    if (stickoutMm !== null) said.set(`region ${id} stickout`, `${stickoutMm}`);
  }
  return said;
}

/** What a coarse look tells. */
const COARSE = /^(way \d+ (cut|undercut|hidden)Mm2|to cut|reached by no two ways)$/;

/** Half a unit of the last place printed; where figures have three digits, of the third. */
function halfStep(value: string, output: string, meaning: string): number {
  const plain = /e/.test(value) ? 1e-9 : 0.5 * 10 ** -(value.split('.')[1]?.length ?? 0);
  const isCoarse = output === 'report.html' && COARSE.test(meaning);
  if (output !== 'quote.csv' && output !== 'terminal' && !isCoarse) return plain;
  const size = Math.floor(Math.log10(Math.max(1e-9, Math.abs(Number(value)))));
  return Math.max(plain, 0.5 * 10 ** (size - 2));
}

/** Between what a figure that is printed so lies; "under 0.1" was kept as <0.1. */
function interval(word: string, output: string, meaning: string): readonly [number, number] {
  if (word.startsWith('<')) return [0, Number(word.slice(1))];
  const off = halfStep(word, output, meaning) + 0.5e-9;
  return [Number(word) - off, Number(word) + off];
}

function disagree(
  meaning: string,
  [a, of]: readonly [string, string],
  [b, and]: readonly [string, string],
): boolean {
  const [left, right] = [a.split(' '), b.split(' ')];
  if (left.length !== right.length) return true;
  return left.some((word, i) => {
    if (!/^(<|-?\d)/.test(word) || !/^(<|-?\d)/.test(right[i])) return word !== right[i];
    const [low, high] = interval(word, of, meaning),
      [least, most] = interval(right[i], and, meaning);
    return low > most || least > high;
  });
}

test('every two outputs say the same wherever they tell the same', () => {
  const names = Object.keys(outputs);
  const wrong: string[] = [];
  const compared = new Map<string, number>();
  names.forEach((one, i) =>
    names.slice(i + 1).forEach((other) => {
      for (const [meaning, a] of outputs[one]) {
        const b = outputs[other].get(meaning);
        if (b === undefined) continue;
        for (const name of [one, other]) compared.set(name, (compared.get(name) ?? 0) + 1);
        if (disagree(meaning, [a, one], [b, other])) wrong.push(`${meaning}: ${one} ${a}, ${other} ${b}`);
      }
    }),
  );
  expect(wrong).toEqual([]);
  for (const name of names) expect(compared.get(name) ?? 0, name).toBeGreaterThan(2);
});

test('nothing is told by one output alone but what only it can tell', () => {
  const all = Object.values(outputs);
  const alone = [...new Set(all.flatMap((said) => [...said.keys()]))].filter(
    (meaning) => all.filter((said) => said.has(meaning)).length === 1,
  );
  // Classes that the part has not are told by their table alone.
  const lone =
    /^(both passes|asked ridge|split end|tightest|\w+ plan|(shallow|overlap|undercut|hidden) (regions|share))$/;
  expect(alone.filter((meaning) => !lone.test(meaning) && !PART_ALONE.includes(meaning))).toEqual([]);
});

test('the cutters take the time that the quote gives', () => {
  const { ladder } = survey.plan;
  expect(ladder.reduce((sum, { minutes }) => sum + minutes, 0)).toBeCloseTo(
    survey.plan.time.finishingMinutes,
    9,
  );
});

test('the minutes of the regions are those of the passes and of the cutters', () => {
  const { regions, passes, ladder } = survey.plan;
  const sum = (cutterId: string, pass: string): number =>
    regions
      .flatMap(({ work }) => work)
      .filter((one) => one.cutterId === cutterId && one.pass === pass)
      .reduce((all, { minutes }) => all + minutes, 0);
  for (const pass of ['waterline', 'raster', 'constant'] as const)
    expect(sum(passes.cutterId, pass)).toBeCloseTo(passes[pass].minutes, 9);
  for (const kind of ['floors', 'walls'] as const)
    for (const { cutterId, minutes } of passes[kind]) expect(sum(cutterId, kind)).toBeCloseTo(minutes, 9);
  expect(ladder.map(({ role }) => role)).toEqual(['floors and walls', 'passes', 'rest']);
  const ofCutter = (id: string): number => WORK.reduce((all, pass) => all + sum(id, pass), 0);
  for (const { cutterId, minutes } of ladder) expect(ofCutter(cutterId)).toBeCloseTo(minutes, 9);
});

test('the cutters of a region are those that take minutes there', () => {
  const told = survey.plan.regions.filter(({ work }) => work.length > 0);
  expect(told.length).toBeGreaterThan(3);
  for (const { id, cutterId, laterCutterIds, work } of told) {
    const takes = work.map((one) => one.cutterId);
    expect(takes, `region ${id}`).toEqual(expect.arrayContaining([cutterId, ...laterCutterIds]));
  }
});

// The part has a sharp pocket and a slope beside floors: what flat end and ball leave together runs over both.
test('what the last cutter leaves is what the lists and what is too small for them add up to', () => {
  const {
    ladder,
    reach: { leftover, tooDeep, crumbs },
  } = survey.plan;
  const { unreachedAreaMm2 } = ladder[ladder.length - 1];
  const listed = compensatedSum([...leftover, ...tooDeep, crumbs].map(({ areaMm2 }) => areaMm2));
  expect(ladder.map(({ role }) => role)).toEqual(['floors and walls', 'passes', 'rest']);
  expect(listed).toBeGreaterThan(100);
  // Figures tell tenths of a mm².
  expect(unreachedAreaMm2).toBeCloseTo(listed, 1);
  expect(/\d more pieces under 0\.01/.test(text('report.html'))).toBe(crumbs.areaMm2 >= 0.05);
});

test('places have one name over all tables', () => {
  // Where minutes go is told by region once more.
  const others = text('report.html').replaceAll(/<caption>Minutes by region, .*?<\/table>/gs, '');
  const names = [
    ...others.matchAll(/<tr[^>]*><th scope="row"><button[^>]* data-(place|region)="([^"]+)"/g),
  ].map(([, kind, name]) => `${kind} ${name}`);
  expect(names.length).toBeGreaterThan(4);
  expect(new Set(names).size).toBe(names.length);
});

test('outlines.svg calls places as the tables do', () => {
  const { tightRegions, leftover } = survey.plan.reach;
  const told = [...text('outlines.svg').matchAll(/<title>([TL]\d+), not reached by/g)].map(
    ([, name]) => name,
  );
  // Upright walls have no outline in plan.
  const names = [...tightRegions.map(({ id }) => `T${id}`), ...leftover.map(({ id }) => `L${id}`)];
  expect(names).toEqual(expect.arrayContaining(told));
  expect(told).toEqual(expect.arrayContaining(['T0', 'L0']));
});
