/** The classes that partition the surface of a part, in the order in which every output lists them. */
export const CLASSES = [
  'level',
  'shallow',
  'overlap',
  'steep',
  'undercut',
  'hidden',
  'underside',
  'outside',
] as const;
export type SurfaceClass = (typeof CLASSES)[number];

/** Index of each class in `CLASSES`; the value stored in per-face arrays. */
export const CLASS_INDEX = {
  level: 0,
  shallow: 1,
  overlap: 2,
  steep: 3,
  undercut: 4,
  hidden: 5,
  underside: 6,
  outside: 7,
} as const satisfies Record<SurfaceClass, number>;

/** Classes that a 3-axis finishing cutter is meant to cut: level, shallow, overlap, steep. */
export const MACHINABLE_CLASSES = 4;
