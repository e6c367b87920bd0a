// The arc planes. Third axis up, the first turns counterclockwise into the second:
// G17 X Y (Z up), G18 Z X (Y up), G19 Y Z (X up); NISTIR 6556 3.5.3.2 and 4.3.6.1.

export interface Plane {
  /** Indices into X Y Z. */
  readonly first: 0 | 1 | 2
  readonly second: 0 | 1 | 2
  readonly third: 0 | 1 | 2
}

const xy: Plane = { first: 0, second: 1, third: 2 }
const zx: Plane = { first: 2, second: 0, third: 1 }
const yz: Plane = { first: 1, second: 2, third: 0 }

export function planeOf(code: 17 | 18 | 19 | undefined): Plane {
  if (code === 18) return zx
  return code === 19 ? yz : xy
}
