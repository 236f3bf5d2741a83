export const UNITS = ['mm', 'cm', 'm', 'in'] as const;
export type Unit = (typeof UNITS)[number];
/** What may be asked for: a unit, or whichever the size of the part makes likely. */
export const UNIT_CHOICES = [...UNITS, 'auto'] as const;
export type UnitChoice = (typeof UNIT_CHOICES)[number];

/** Those, and others that files may state of themselves: micrometres and feet. */
export const FILE_UNITS = [...UNITS, 'um', 'ft'] as const;
export type FileUnit = (typeof FILE_UNITS)[number];

/** Millimetres in one of the unit; exact (the inch is 25.4 mm by definition, ISO 31-1; the foot 12 inches). */
export const MM_PER_UNIT: Readonly<Record<FileUnit, number>> = {
  mm: 1,
  cm: 10,
  m: 1000,
  in: 25.4,
  um: 0.001,
  ft: 304.8,
};

/** A unit as people say it. */
export const UNIT_WORDS: Readonly<Record<FileUnit, string>> = {
  mm: 'millimetres',
  cm: 'centimetres',
  m: 'metres',
  in: 'inches',
  um: 'micrometres',
  ft: 'feet',
};

export const RAD_PER_DEG = Math.PI / 180;
export const DEG_PER_RAD = 180 / Math.PI;

/**
 * Strict reading of a length such as `3`, `3mm`, `0.125in`; a bare number is in mm.
 * A decimal comma is accepted only where it cannot be a list separator: exactly one comma, no point.
 *
 * @returns mm, finite, any sign; NaN if the text is anything else (`6cmx`, `1,5,2`, empty)
 */
export function lengthMm(text: string): number {
  const match = /^([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+))\s*(mm|cm|m|in)?$/.exec(text.trim());
  if (!match) return NaN;
  const unit = (match[2] ?? 'mm') as Unit;
  return Number(match[1].replace(',', '.')) * MM_PER_UNIT[unit];
}

/** Strict reading of a share of 1, `0.03`, or with its sign a percentage, `3%`; NaN if the text is anything else. */
export function shareOfOne(text: string): number {
  const match = /^([+-]?(?:\d+(?:\.\d*)?|\.\d+))(%)?$/.exec(text.trim());
  if (!match) return NaN;
  return match[2] === undefined ? Number(match[1]) : Number(match[1]) / 100;
}
