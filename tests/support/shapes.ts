/** Test solids with closed forms: plain soups (9 T), mm, z up, closed, wound outwards. */
export * from './shapes/measures.js';
export * from './shapes/pockets.js';
export * from './shapes/prisms.js';
export * from './shapes/rounds.js';
export * from './shapes/variants.js';
export * from './shapes/pocket-plate.js';
