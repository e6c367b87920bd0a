import type { Toolpath } from '../../../shared/toolpath.ts'

/** The motions of each line of the program, also where a line is executed several times. */
export interface MotionsByLine {
  /** Motions in the order of their lines, then of execution. */
  readonly order: Uint32Array
  /** Motions of line n stand in `order` from start[n] to start[n + 1]. */
  readonly start: Uint32Array
}

/** Sorts the motions by line: counted, so in one pass over them. */
export function motionsByLine(path: Toolpath, lineCount: number): MotionsByLine {
  const start = new Uint32Array(lineCount + 1)
  for (let i = 0; i < path.count; i++) {
    const after = (path.line[i] ?? 0) + 1
    start[after] = (start[after] ?? 0) + 1
  }
  for (let line = 0; line < lineCount; line++) start[line + 1] = (start[line + 1] ?? 0) + (start[line] ?? 0)
  const next = start.slice()
  const order = new Uint32Array(path.count)
  for (let i = 0; i < path.count; i++) {
    const line = path.line[i] ?? 0
    const at = next[line] ?? 0
    order[at] = i
    next[line] = at + 1
  }
  return { order, start }
}

/** The motions a line asks for, in the order of execution; empty for a line that moves nothing. */
export function motionsOfLine({ order, start }: MotionsByLine, line: number): Uint32Array {
  if (line < 0 || line + 1 >= start.length) return new Uint32Array(0)
  return order.subarray(start[line], start[line + 1])
}

/** The last motion at or before a line: where the tool stands when the line is done. Undefined before the first motion. */
export function motionUpToLine({ order, start }: MotionsByLine, line: number): number | undefined {
  if (line < 0) return undefined
  const end = start[Math.min(line + 1, start.length - 1)] ?? 0
  return end === 0 ? undefined : order[end - 1]
}
