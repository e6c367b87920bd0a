/** mm; two lengths of a sheet nearer than this are one length, converted from inch or added up. */
export const SAME_LENGTH = 1e-9

/** mm; a sheet gives the diameter and the length of a taper rounded to a hundredth each. */
export const ROUNDED_DIAMETER = 0.02

/** Sine of the angle between directions that count as parallel: a tenth of an arc second. */
export const PARALLEL = 5e-7

/** mm; how far a rounded-off corner of the seven-parameter cutter may miss the lines it touches: parameters are written to a thousandth. */
export const TANGENT = 0.002
