import { spans, throatBegins } from './section.ts'
import { surfaceAt } from './surface.ts'

/** Facets round the axis. */
const around = 420
/** Rows to a span of the section, so that no facet lies more than 0.003 mm from the smooth casting: many on the lip and round the foot, few on the straight wall. */
const sharpRows = 14
const usualRows = 11
const wallRows = 4

/**
 * The casting as a closed mesh: nine numbers a triangle, mm, corners counter-clockwise seen from
 * outside. Rounded to a ten-thousandth of a millimetre before float32, so that the last bit of a
 * platform's sine does not show.
 */
export function ductMesh(): Float32Array {
  const rows = sectionRows()
  const grid = new Float32Array(rows.length * around * 3)
  for (let row = 0; row < rows.length; row++) {
    for (let column = 0; column < around; column++) {
      const { point } = surfaceAt(2 * Math.PI * column / around, rows[row])
      for (let k = 0; k < 3; k++) grid[(row * around + column) * 3 + k] = Math.round(point[k] * 1e4) / 1e4
    }
  }
  return triangulate(grid, rows.length)
}

/** Parameters of the rows. */
function sectionRows(): number[] {
  const rows: number[] = []
  for (let span = 0; span < spans; span++) {
    const onLip = span >= throatBegins - 8 && span < throatBegins, onFoot = span >= spans - 2 || span < 1, onWall = span >= 2 && span < 5
    const count = onLip || onFoot ? sharpRows : onWall ? wallRows : usualRows
    for (let i = 0; i < count; i++) rows.push(span + i / count)
  }
  return rows
}

/** The grid closes both ways: a torus, as the duct runs through. */
function triangulate(grid: Float32Array, rowCount: number): Float32Array {
  const corners = new Float32Array(rowCount * around * 18)
  let at = 0
  const put = (row: number, column: number) => {
    const from = ((row % rowCount) * around + column % around) * 3
    corners[at++] = grid[from]
    corners[at++] = grid[from + 1]
    corners[at++] = grid[from + 2]
  }
  for (let row = 0; row < rowCount; row++) {
    for (let column = 0; column < around; column++) {
      put(row, column)
      put(row, column + 1)
      put(row + 1, column + 1)
      put(row, column)
      put(row + 1, column + 1)
      put(row + 1, column)
    }
  }
  return corners
}
