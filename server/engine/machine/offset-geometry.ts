// Lines and arcs of the compensation plane, offset to one side, and where they meet. Lengths mm.

export interface Curve {
  readonly ax: number
  readonly ay: number
  readonly bx: number
  readonly by: number
  /** Unit directions of travel at both ends. */
  readonly fromX: number
  readonly fromY: number
  readonly toX: number
  readonly toY: number
  /** Present for an arc. */
  readonly arc?: { readonly cx: number, readonly cy: number, readonly radius: number, readonly clockwise: boolean }
}

/** Angles within this are one direction; places within it (mm) one place. */
const SAME = 1e-9

export function lineCurve(ax: number, ay: number, bx: number, by: number): Curve {
  const length = Math.hypot(bx - ax, by - ay), x = (bx - ax) / length, y = (by - ay) / length
  return { ax, ay, bx, by, fromX: x, fromY: y, toX: x, toY: y }
}

export function arcCurve(ax: number, ay: number, bx: number, by: number, cx: number, cy: number, clockwise: boolean): Curve {
  const side = clockwise ? -1 : 1, ra = Math.hypot(ax - cx, ay - cy), rb = Math.hypot(bx - cx, by - cy)
  return {
    ax, ay, bx, by, fromX: -side * (ay - cy) / ra, fromY: side * (ax - cx) / ra, toX: -side * (by - cy) / rb, toY: side * (bx - cx) / rb,
    arc: { cx, cy, radius: ra, clockwise },
  }
}

/** The curve at a distance to the left of the travel (negative: to the right); undefined where an arc is smaller than that. */
export function offsetCurve(curve: Curve, left: number): Curve | undefined {
  const ax = curve.ax - left * curve.fromY, ay = curve.ay + left * curve.fromX
  const bx = curve.bx - left * curve.toY, by = curve.by + left * curve.toX
  if (curve.arc === undefined) return { ...curve, ax, ay, bx, by }
  const { cx, cy, radius, clockwise } = curve.arc
  const offset = radius - (clockwise ? -left : left)
  return offset <= SAME ? undefined : { ...curve, ax, ay, bx, by, arc: { cx, cy, radius: offset, clockwise } }
}

/** Sine and cosine of the turn from the end of one curve to the start of the next. */
export function turnBetween(first: Curve, second: Curve): { readonly sine: number, readonly cosine: number } {
  return {
    sine: first.toX * second.fromY - first.toY * second.fromX,
    cosine: first.toX * second.fromX + first.toY * second.fromY,
  }
}

/** Whether a point of the whole line or circle lies on the curve itself. */
function isOn(curve: Curve, x: number, y: number): boolean {
  if (curve.arc === undefined) {
    const along = (x - curve.ax) * curve.fromX + (y - curve.ay) * curve.fromY
    return along >= -1e-7 && along <= Math.hypot(curve.bx - curve.ax, curve.by - curve.ay) + 1e-7
  }
  const { cx, cy, clockwise } = curve.arc
  const angle = (px: number, py: number) => {
    const turned = Math.atan2((curve.ax - cx) * (py - cy) - (curve.ay - cy) * (px - cx), (curve.ax - cx) * (px - cx) + (curve.ay - cy) * (py - cy))
    return ((clockwise ? -turned : turned) + 2 * Math.PI) % (2 * Math.PI)
  }
  const isFull = Math.hypot(curve.ax - curve.bx, curve.ay - curve.by) < SAME
  const here = angle(x, y)
  return isFull || here <= angle(curve.bx, curve.by) + 1e-9 || here >= 2 * Math.PI - 1e-9
}

/** Where two curves meet, nearest to a place; undefined where they do not. */
export function meeting(first: Curve, second: Curve, nearX: number, nearY: number): { readonly x: number, readonly y: number } | undefined {
  let best: { x: number, y: number } | undefined
  for (const point of crossings(first, second)) {
    if (!isOn(first, point.x, point.y) || !isOn(second, point.x, point.y)) continue
    if (best === undefined || Math.hypot(point.x - nearX, point.y - nearY) < Math.hypot(best.x - nearX, best.y - nearY)) best = point
  }
  return best
}

/** Common points of the whole lines or circles. */
function crossings(first: Curve, second: Curve): { x: number, y: number }[] {
  if (first.arc === undefined && second.arc === undefined) {
    const cross = first.fromX * second.fromY - first.fromY * second.fromX
    if (Math.abs(cross) < 1e-12) return []
    const t = ((second.ax - first.ax) * second.fromY - (second.ay - first.ay) * second.fromX) / cross
    return [{ x: first.ax + t * first.fromX, y: first.ay + t * first.fromY }]
  }
  if (first.arc === undefined) return lineAndCircle(first, second.arc ?? { cx: 0, cy: 0, radius: 0 })
  if (second.arc === undefined) return lineAndCircle(second, first.arc)
  const { cx, cy, radius } = first.arc, other = second.arc
  const dx = other.cx - cx, dy = other.cy - cy, distance = Math.hypot(dx, dy)
  if (distance < SAME) return []
  const along = (distance * distance + radius * radius - other.radius * other.radius) / (2 * distance)
  const square = radius * radius - along * along
  if (square < -1e-9) return []
  const high = Math.sqrt(Math.max(0, square)), x = cx + along * dx / distance, y = cy + along * dy / distance
  return [{ x: x - high * dy / distance, y: y + high * dx / distance }, { x: x + high * dy / distance, y: y - high * dx / distance }]
}

function lineAndCircle(line: Curve, circle: { readonly cx: number, readonly cy: number, readonly radius: number }): { x: number, y: number }[] {
  const along = (circle.cx - line.ax) * line.fromX + (circle.cy - line.ay) * line.fromY
  const across = (circle.cx - line.ax) * line.fromY - (circle.cy - line.ay) * line.fromX
  const square = circle.radius * circle.radius - across * across
  if (square < -1e-9) return []
  const half = Math.sqrt(Math.max(0, square))
  return [along - half, along + half].map(t => ({ x: line.ax + t * line.fromX, y: line.ay + t * line.fromY }))
}
