import { mkdirSync, writeFileSync } from 'node:fs';
import { figuresJson, MODELS, modelBytes } from './catalogue.js';

/** Writes every model and figures.json into the folder given as the first argument (default: models). */
const folder = process.argv[2] ?? 'models';
mkdirSync(folder, { recursive: true });
for (const model of MODELS) writeFileSync(`${folder}/${model.name}.stl`, modelBytes(model));
writeFileSync(`${folder}/figures.json`, figuresJson());
