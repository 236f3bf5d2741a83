/**
 * How much of a triangle lies under a part, seen from above: 'none' of it, the 'whole' of it under one and the same facet,
 * or 'some', which also stands for what is not known as quickly.
 */
export type Cover = 'none' | 'some' | 'whole';
