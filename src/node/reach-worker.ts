import { parentPort } from 'node:worker_threads';
import { workerBody, type ToWorker } from '../reach/pooled-engine.js';

const body = workerBody((message, transfer) => parentPort?.postMessage(message, transfer));
parentPort?.on('message', (message: ToWorker) => body(message));
