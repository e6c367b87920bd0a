// Every epsilon of the geometry, with its unit and its reason.

/** Proven width of a contact figure, mm: a third of the finest path tolerances in use (common practice: 0.005 mm). */
export const defaultEpsilon = 0.002

/** mm. Float64 rounding of poses and distances of bodies within 10 m of the origin stays below 1e-10; this is added on the safe side of every certified figure. */
export const roundingAllowance = 1e-9

/** mm. How fine a figure is driven when its interval straddles a limit, before it is called undecided. */
export const finestEpsilon = 1e-5

/** mm and radians. Travel is certified to this figure along a motion. */
export const travelTolerance = 1e-4

/** mm. Bodies of the machine nearer to something than this touch it: their meshes are no finer. */
export const bodyTouch = 0.05

/** mm. Proven width of the distance of a machine body. */
export const bodyEpsilon = 0.02

/** mm. How fine that is driven when its interval straddles a limit. */
export const finestBodyEpsilon = 0.001

/** mm. Proven width of a height over the mesh: finer than that of contact, so that figures differ after an edit from those of a fresh search by less than is shown. */
export const heightEpsilon = 0.0005

/** mm. Heights over the mesh are looked for as far out as this, and cuts below it as deep. */
export const heightReach = 3
