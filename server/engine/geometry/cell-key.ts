/** Cells an axis that have a name: 17 bits each, as many as a double can hold of three. */
const CELLS = 131_072

/** One number for the cell of a grid that holds a point: cells lie within 65,536 of the origin each way. */
export function cellKey(x: number, y: number, z: number): number {
  return ((x + CELLS / 2) * CELLS + y + CELLS / 2) * CELLS + z + CELLS / 2
}

/** What is added to a cell's key for 13 of its 26 neighbours: of any two neighbouring cells one comes to the other by them. */
export const stepsToNeighbours: readonly number[] = [-1, 0, 1].flatMap(dx => [-1, 0, 1].flatMap(dy => [-1, 0, 1].map(dz => (dx * CELLS + dy) * CELLS + dz))).filter(step => step > 0)
