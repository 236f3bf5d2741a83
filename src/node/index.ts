/** Public names of scarp for programs on Node. */
export { besideReader } from './read-beside.js';
export { meshStep } from './mesh-step.js';
export { reachPool } from './reach-pool.js';
