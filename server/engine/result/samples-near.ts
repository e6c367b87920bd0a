import { BOX_STRIDE, groupLevels, groupSize } from './sample-groups.ts'
import type { SurfaceSamples } from './surface-samples.ts'

/** Whether any sample fits, of those within `reach` of a sample and some a little farther; mm. */
export function someNear({ groups, count, points }: SurfaceSamples, sample: number, reach: number, fits: (other: number) => boolean): boolean {
  const x = points[sample * 3], y = points[sample * 3 + 1], z = points[sample * 3 + 2]
  const { boxes, starts } = groups
  const look = (level: number, group: number): boolean => {
    const at = group * BOX_STRIDE
    if (Math.abs(x - boxes[at]) > boxes[at + 3] + reach || Math.abs(y - boxes[at + 1]) > boxes[at + 4] + reach || Math.abs(z - boxes[at + 2]) > boxes[at + 5] + reach) return false
    const first = (group - starts[level]) * groupSize
    const end = Math.min(first + groupSize, level === 0 ? count : starts[level] - starts[level - 1])
    for (let i = first; i < end; i++) if (level === 0 ? fits(i) : look(level - 1, starts[level - 1] + i)) return true
    return false
  }
  for (let group = starts[groupLevels - 1]; group < starts[groupLevels]; group++) if (look(groupLevels - 1, group)) return true
  return false
}
