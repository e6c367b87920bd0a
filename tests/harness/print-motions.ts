import { MotionFlag, MotionKind, type Toolpath } from '../../shared/toolpath.ts'

const kindNames: Readonly<Record<number, string>> = {
  [MotionKind.joints]: 'joints',
  [MotionKind.toolLine]: 'tool line',
  [MotionKind.jointArc]: 'joint arc',
  [MotionKind.toolArc]: 'tool arc',
}

/** One line a motion: program line, kind, joints at its end in mm and degrees, seconds. For fixtures. */
export function printMotions(toolpath: Toolpath): string {
  const width = toolpath.axes.length
  const lines = Array.from({ length: toolpath.count }, (_, i) => {
    const flags = toolpath.flags[i]
    const kind = [flags & MotionFlag.rapid ? 'rapid' : 'feed', kindNames[toolpath.kind[i]], ...flags & MotionFlag.unknownStart ? ['start unknown'] : []].join(', ')
    const joints = toolpath.axes.map((letter, j) => {
      const value = toolpath.joints[(i + 1) * width + j]
      return `${letter}${figure('ABC'.includes(letter) ? value * 180 / Math.PI : value)}`
    })
    return `line ${toolpath.line[i] + 1}: ${kind}: ${joints.join(' ')}, ${figure(toolpath.seconds[i])} s`
  })
  return lines.length === 0 ? 'none' : lines.join('\n')
}

function figure(value: number): string {
  return Number.isNaN(value) ? '?' : String(Number(value.toFixed(4)) + 0)
}
