import type { Axis } from '../../../shared/machine.ts'
import { secondsByTool, type CheckResult } from '../../engine/service.ts'
import { duration } from '../closing-words.ts'
import { paragraph, section, table, type Html } from './html.ts'
import type { RecordInput } from './record-input.ts'

/** How far and how fast each axis goes against what it has, and how long each tool is at work. */
export function machineSection({ outcome: { result, scene } }: RecordInput): Html {
  if (!result.motionChecked) return ''
  return section('machine', 'Axes and time', [
    table(`Machine "${scene.machine.name}": travel and highest rate of each axis, rapids included. Limits are those of the machine file.`,
      ['Axis', 'Lowest', 'Highest', 'Travel allowed', 'Top rate', 'Feed limit', 'Rapid'], result.axes.map(axis => axisRow(axis, scene.machine.axes))),
    table('Estimated time by tool: programmed feeds, and axis rates and accelerations as far as the machine file gives them', ['Tool', 'Time'], [
      ...secondsByTool(result.program, scene).filter(({ seconds }) => seconds > 0).map(({ tool, seconds }) => [tool === undefined ? 'without a tool of the sheet' : `${tool.number}: ${tool.name}`, duration(seconds)]),
      ...result.program.dwellSeconds > 0 ? [['dwells', duration(result.program.dwellSeconds)]] : [],
      ['in all', duration(result.seconds)],
    ]),
    paragraph('Tool changes, smoothing and waiting of the control are not in it.', 'soft'),
  ])
}

/** What came of the stock; empty where none was followed. */
export function stockSection({ outcome: { result: { stock } } }: RecordInput): Html {
  if (stock === undefined) return ''
  const cm3 = (mm3: number) => `${(mm3 / 1000).toFixed(3)} cm³`
  return section('stock', 'Stock', [table('Material as the rays see it', ['Figure', 'Value'], [
    ['Before the first block', cm3(stock.initial)],
    ['Cut away', cm3(stock.removed)],
    ['Left after the last block', cm3(stock.remaining)],
    ['Share of the feed time in air', `${Math.round(stock.cutInAir * 100)} %`],
  ])])
}

function axisRow({ letter, min, max, topRate }: CheckResult['axes'][number], axes: readonly Axis[]): string[] {
  const axis = axes.find(one => one.letter === letter), rotary = axis?.kind === 'rotary'
  const unit = rotary ? '°' : ' mm', scale = rotary ? 180 / Math.PI : 1
  const rate = (perSecond: number | undefined) => perSecond === undefined ? 'not given' : `${Math.round(perSecond * scale * 60)}${unit}/min`
  return [
    letter, `${min.toFixed(3)}${unit}`, `${max.toFixed(3)}${unit}`,
    axis?.range === undefined ? 'without end' : axis.range.map(end => `${Number((end * scale).toFixed(3))}${unit}`).join(' to '),
    `${Math.round(topRate)}${unit}/min`, rate(axis?.maxFeed), rate(axis?.rapid),
  ]
}
