import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { expect, test } from 'vitest';
import { ruleBreaches, type Exceptions, type Rule } from './support/source-rules.js';

const ANALYSIS = [
  'core',
  'read',
  'part',
  'surface',
  'cutter',
  'reach',
  'zones',
  'outlines',
  'time',
  'stages',
  'plan',
  'write',
];
const SETUP = ['options.ts', 'resolve-setup.ts'];

/** Who may import whom. Data flows one way; nothing imports upwards. */
const RULES: Readonly<Record<string, Rule>> = {
  core: { may: [], packages: { zod: ['core/check-input.ts'] }, runsIn: 'anywhere' },
  read: {
    may: ['core'],
    packages: {
      '@gltf-transform/core': [
        'read/gltf.ts',
        'read/gltf-json.ts',
        'read/gltf-buffers.ts',
        'read/gltf-check.ts',
        'read/gltf-unpacked.ts',
      ],
      draco3dgltf: ['read/draco-mesh.ts'],
      earcut: ['read/polygon-triangles.ts'],
      zod: ['read/gltf-check.ts'],
      'fast-xml-parser': ['read/svg-tree.ts'],
      fflate: ['read/zip-entries.ts'],
      meshoptimizer: ['read/gltf-unpacked.ts'],
      saxes: ['read/threemf.ts', 'read/threemf-model.ts'],
    },
    runsIn: 'anywhere',
  },
  part: { may: ['core'], runsIn: 'anywhere' },
  surface: { may: ['core', 'part'], runsIn: 'anywhere' },
  cutter: { may: ['core'], packages: { zod: ['*'] }, runsIn: 'anywhere' },
  zones: { may: ['core', 'part', 'surface'], runsIn: 'anywhere' },
  reach: {
    may: ['core', 'part', 'surface', 'cutter', 'zones'],
    packages: { three: ['*'], 'three-mesh-bvh': ['*'] },
    runsIn: 'anywhere',
  },
  outlines: {
    may: ['core', 'part', 'surface', 'zones'],
    packages: { 'clipper2-ts': ['outlines/clipper.ts'] },
    runsIn: 'anywhere',
  },
  time: { may: ['core', 'part', 'surface', 'zones', 'cutter'], packages: { zod: ['*'] }, runsIn: 'anywhere' },
  'options.ts': { may: ['core'], packages: { zod: ['*'] }, runsIn: 'anywhere' },
  'resolve-setup.ts': {
    may: ['core', 'cutter', 'time', 'options.ts'],
    packages: { zod: ['*'] },
    runsIn: 'anywhere',
  },
  stages: {
    may: ['core', 'part', 'cutter', 'reach', 'outlines', 'time', ...SETUP],
    runsIn: 'anywhere',
  },
  plan: {
    may: ['core', 'zones', 'outlines', 'cutter', 'time', ...SETUP],
    packages: { zod: ['*'] },
    runsIn: 'anywhere',
  },
  write: {
    may: ['core', 'part', 'surface', 'zones', 'outlines', 'cutter', 'time', 'plan', ...SETUP],
    packages: {
      '@gltf-transform/core': ['write/coloured-glb.ts'],
      '@tarikjabiri/dxf': ['write/dxf.ts'],
      fflate: ['write/pack-view.ts'],
      '#viewer-script': ['write/report.ts'],
    },
    runsIn: 'anywhere',
  },
  survey: { may: [...ANALYSIS, ...SETUP], runsIn: 'anywhere' },
  'index.ts': { may: [...ANALYSIS, ...SETUP, 'survey'], runsIn: 'anywhere' },
  node: {
    may: ['core', 'read', 'reach', 'survey', ...SETUP],
    packages: {
      'node:*': ['*'],
      'occt-import-js': ['node/step-worker.ts'],
      rolldown: ['node/bundle-page.ts'],
    },
    runsIn: 'Node',
  },
  cli: {
    may: ['core', 'read', 'outlines', 'cutter', 'time', 'write', 'node', 'survey', ...SETUP],
    packages: { commander: ['*'], 'node:path': ['*'], 'node:process': ['cli/main.ts'] },
    runsIn: 'Node',
  },
  page: {
    may: ['core', 'part', 'reach', 'cutter', 'time', 'plan', 'write', 'survey', ...SETUP],
    packages: { three: ['*'] },
    runsIn: 'browser',
  },
};

/** The build steps gather what they write from wherever it lives. */
const EXCEPTIONS: Exceptions = {
  'node/write-schemas.ts': ['cutter', 'plan', 'time', 'write'],
  'node/bundle-page.ts': ['page', 'write'],
};

test('src keeps to the table', () => {
  expect(ruleBreaches(new URL('../src', import.meta.url).pathname, RULES, EXCEPTIONS)).toEqual([]);
});

test('the table has no circle: each folder may import only what stands above it', () => {
  const order = Object.keys(RULES);
  const upwards = order.flatMap((name, i) =>
    RULES[name].may
      .filter((other) => !order.slice(0, i).includes(other))
      .map((other) => `${name} may import ${other}`),
  );
  expect(upwards).toEqual([]);
});

/** Breaches found in a tree that holds just these files. */
function breachesIn(files: Readonly<Record<string, string>>): string[] {
  const root = mkdtempSync(join(tmpdir(), 'scarp-tree-'));
  try {
    for (const [name, text] of Object.entries(files)) {
      mkdirSync(dirname(join(root, name)), { recursive: true });
      writeFileSync(join(root, name), text);
    }
    return ruleBreaches(root, RULES, EXCEPTIONS);
  } finally {
    rmSync(root, { recursive: true });
  }
}

test.each([
  ['core/a.ts', "import { x } from '../mesh/b.js';", 'imports ../mesh/b.js'],
  ['part/a.ts', "export * from '../zones/deep/b.js';", 'imports ../zones/deep/b.js'],
  ['zones/a.ts', "import type { X } from '../survey.js';", 'imports ../survey.js'],
  ['time/a.ts', "const x = await import('three');", 'imports three'],
  ['read/stl.ts', "import { WebIO } from '@gltf-transform/core';", 'imports @gltf-transform/core'],
  ['write/a.ts', "import { readFile } from 'node:fs/promises';", 'imports node:fs/promises'],
  ['cli/run.ts', "import process from 'node:process';", 'imports node:process'],
  ['cli/run.ts', "import '../page/view.js';", 'imports ../page/view.js'],
  ['part/a.ts', 'export const cwd = process.cwd();', 'uses process'],
  ['part/a.ts', 'export const b = Buffer.from([]);', 'uses Buffer'],
  ['part/a.ts', 'export const f = (): void => console.log(1);', 'uses console'],
  ['part/a.ts', 'export const t = { d: document.title };', 'uses document'],
  ['part/a.ts', 'window.close();', 'uses window'],
  ['part/a.ts', 'export const n = Date.now();', 'uses Date'],
  ['part/a.ts', 'export const n = Math.random();', 'uses Math.random'],
  ['node/a.ts', 'export const n = document;', 'uses document'],
  ['extra/a.ts', '', 'no rule for extra'],
])('a breach in %s is found: %s', (name, text, what) => {
  expect(breachesIn({ [name]: text })).toEqual([`${name}: ${what}`]);
});

test('what is allowed is let through', () => {
  expect(
    breachesIn({
      'part/a.ts':
        "import { x } from '../core/b.js';\nimport { y } from './c.js';\n// process.exit and window\n" +
        'export const f = (window: { document: number }) => window.document + x + y;',
      'cli/main.ts': "import process from 'node:process';\nprocess.exitCode = 0;",
      'page/view.ts':
        "import { Scene } from 'three';\ndocument.append(new Scene().name, String(Date.now()));",
      'write/coloured-glb.ts':
        "import { Document } from '@gltf-transform/core';\nexport const d = new Document();",
    }),
  ).toEqual([]);
});
