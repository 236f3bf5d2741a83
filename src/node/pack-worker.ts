import { parentPort, workerData } from 'node:worker_threads';
import { packView } from '../write/pack-view.js';
import type { ViewData } from '../write/view-data.js';

parentPort?.postMessage(packView(workerData as ViewData));
