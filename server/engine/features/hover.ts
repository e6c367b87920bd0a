import type { Span } from '../../../shared/span.ts'
import { BlockReader } from '../nc/block-reader.ts'
import { lineOf, lineSpan } from '../nc/line-index.ts'
import { sequenceSpan, wordAt } from '../nc/words.ts'
import type { Word } from '../nc/block.ts'
import { poseAfterLine, type BlockPose } from './block-pose.ts'
import { clearancesOf, clearanceText, type MotionFigures } from './clearance-text.ts'
import { contactDiameter, cuttingSpeed, feedOnPart, inMachineFrame } from './cutting.ts'
import { motionsOfLine } from './motions-by-line.ts'
import { degreesText, directionNumber, lengthNumber, lengthText, timeText, unitName, type LengthUnit } from './number-text.ts'
import type { ProgramView } from './program-view.ts'
import { feedText, stateText } from './state-text.ts'
import { wordMeaning } from './word-meaning.ts'

/** By motion: mm³ taken, share of its time in the cut, extent along the tool and across the feed; pitch of the rays, mm. */
export interface StockView {
  readonly removed: Float32Array
  readonly share: Float32Array
  readonly depth: Float32Array
  readonly width: Float32Array
  readonly pitch: number
}

/** What is known of contact while the search runs. */
export interface ContactView {
  /** Figures of a motion; undefined while it has not been searched. */
  readonly figuresOf: (motion: number) => MotionFigures | undefined
  /** What each motion takes from the stock; absent where it has not been followed (yet). */
  readonly stock?: StockView
  /** What a motion leaves of the part where no other comes lower: heights over the mesh, mm, below 0 too deep, and the surface, mm²; undefined where there is none, or it is not measured. */
  readonly leftBy?: (motion: number) => { readonly lowest: number, readonly highest: number, readonly area: number } | undefined
  /** Why there is nothing to wait for, as the end of a sentence; undefined when a search runs or has run. */
  readonly notSearched?: string
}

export interface HoverText {
  /** The word that is explained; offsets in the program. */
  readonly span: Span
  readonly markdown: string
}

/** What the word under the cursor means, and all that is known about its block. `toolWords`: Markdown about the tool with a number that is called. */
export function hoverAt(view: ProgramView, contact: ContactView, offset: number, toolWords?: (number: number) => string | undefined): HoverText | undefined {
  const line = lineOf(view.lineStarts, offset)
  const word = wordUnder(view, line, offset)
  if (word === undefined) return undefined
  const after = view.stateAt(line + 1)
  const unit: LengthUnit = after.unit === 25.4 ? 25.4 : 1
  const source = view.text.slice(word.span.start, word.span.end)
  const called = word.letter === 'T' ? word.value : word.letter === 'M' && word.value === 6 ? after.tool : undefined
  const tool = called === undefined ? undefined : toolWords?.(called)
  const parts = [
    wordMeaning(word, source, view.machine, unit),
    ...tool === undefined ? [] : [tool],
    '---',
    ...blockLines(view, contact, line, unit),
    `In force: ${stateText(after)}`,
  ]
  return { span: word.span, markdown: parts.join('\n\n') }
}

/** The block at a line: what it comes near, where it ends, how fast it goes. */
function blockLines(view: ProgramView, contact: ContactView, line: number, unit: LengthUnit): string[] {
  const pose = poseAfterLine(view, line)
  if (pose === undefined) return ['Where the tool stands here is not known: no position has been set yet, or the machine file does not say where it starts.']
  if (!pose.moves) return ['This block does not move the tool.', poseText(view, pose, unit)]
  return [contactText(view, contact, line, pose, unit), ...stockText(view, contact, line, unit), ...leftText(view, contact, line, unit), rateText(view, contact, line, pose, unit), poseText(view, pose, unit)]
}

/** What the block takes from the stock, where that has been followed. */
function stockText(view: ProgramView, { stock }: ContactView, line: number, unit: LengthUnit): string[] {
  if (stock === undefined) return []
  let volume = 0, depth = 0, width = 0, cut = 0, all = 0
  for (const motion of motionsOfLine(view.motions, line)) {
    const seconds = view.toolpath.seconds[motion] ?? 0
    volume += stock.removed[motion] ?? 0
    depth = Math.max(depth, stock.depth[motion] ?? 0)
    width = Math.max(width, stock.width[motion] ?? 0)
    cut += seconds * (stock.share[motion] ?? 0)
    all += seconds
  }
  if (depth === 0) return ['Stock: nothing is cut in this block.']
  const air = all > 0 ? Math.round((1 - cut / all) * 100) : 0
  return [`Stock: takes ${Number((volume / unit ** 3).toPrecision(3))} ${unitName(unit)}³, ${lengthText(depth, unit)} deep along the tool and ${lengthText(width, unit)} wide (to ${lengthText(stock.pitch, unit)})${air > 0 ? `; ${air} % of the block in air` : ''}`]
}

/** Feed, speed of the tool point on the part, and how fast the edges cut. */
function rateText(view: ProgramView, contact: ContactView, line: number, pose: BlockPose, unit: LengthUnit): string {
  const state = view.stateAt(line + 1)
  const lines = [`Feed: ${(pose.rapid ? 'rapid' : feedText(state)) ?? 'none in force'}${pose.seconds > 0 ? `; the block takes ${timeText(pose.seconds)}` : ''}`]
  const feed = pose.rapid ? undefined : feedOnPart(view, line)
  if (feed !== undefined) lines.push(`Tool point on the part: ${rangeText(feed.least / unit, feed.most / unit)} ${unitName(unit)}/min`)
  const tool = pose.tool === undefined ? undefined : view.setup?.tools[pose.tool], { speed } = state
  if (tool !== undefined && speed !== undefined && state.spindle !== 'stopped') {
    const at = pose.rapid ? undefined : contactDiameter(view, contact.figuresOf, line)
    lines.push([
      `Cutting speed: ${speedText(tool.cutter.DC, speed)} at its full diameter (${lengthText(tool.cutter.DC, unit)})`,
      ...at === undefined ? [] : [`${speedText(at, speed)} where it comes nearest to the part (diameter ${lengthText(at, unit)})`],
    ].join('; '))
  }
  // Lines of their own, and no list: it would run into the list of clearances above it.
  return lines.join('  \n')
}

/** What the block leaves of the part after all that come later. */
function leftText(view: ProgramView, { leftBy }: ContactView, line: number, unit: LengthUnit): string[] {
  const left = [...motionsOfLine(view.motions, line)].flatMap(motion => leftBy?.(motion) ?? [])
  if (left.length === 0) return []
  const lowest = Math.min(...left.map(one => one.lowest)), highest = Math.max(...left.map(one => one.highest))
  const area = left.reduce((sum, one) => sum + one.area, 0)
  const heights = highest <= 0 ? `it cuts up to ${lengthText(-lowest, unit)} below it`
    : lowest < 0 ? `up to ${lengthText(highest, unit)} is left and up to ${lengthText(-lowest, unit)} is cut below it`
      : `up to ${lengthText(highest, unit)} is left`
  return [`Comes lowest over ${Number((area / unit / unit).toPrecision(2))} ${unitName(unit)}² of the part's surface: ${heights}.`]
}

/** m/min in either unit system's usual digits. */
function speedText(diameter: number, revolutions: number): string {
  return `${Number(cuttingSpeed(diameter, revolutions).toPrecision(3))} m/min`
}

function rangeText(least: number, most: number): string {
  const low = String(Number(least.toPrecision(4))), high = String(Number(most.toPrecision(4)))
  return low === high ? low : `${low} to ${high}`
}

function poseText(view: ProgramView, pose: BlockPose, unit: LengthUnit): string {
  const { axis, joints, moves } = pose, place = inMachineFrame(view, pose)
  const at = view.machine.axes.map(({ letter, kind }, joint) => {
    const value = joints[joint] ?? NaN
    if (!Number.isFinite(value)) return `${letter} unknown`
    return kind === 'rotary' ? `${letter} ${degreesText(value)}` : `${letter} ${lengthNumber(value, unit)}`
  }).join('  ')
  const points = (point: readonly number[]) => point.map((value, i) => `${'XYZ'[i]} ${lengthNumber(value, unit)}`).join('  ')
  return [
    `| ${moves ? 'at the end of the block' : 'as left by an earlier block'} | |`,
    '|---|---|',
    `| tool point on the part, ${unitName(unit)} | ${points(pose.point)} |`,
    `| tool axis, tip to spindle | ${axis.map(directionNumber).join('  ')} |`,
    `| tool point on the machine, ${unitName(unit)} | ${points(place.point)} |`,
    `| tool axis on the machine | ${place.axis.map(directionNumber).join('  ')} |`,
    `| machine axes, ${unitName(unit)} and degrees | ${at} |`,
  ].join('\n')
}

function contactText(view: ProgramView, contact: ContactView, line: number, pose: BlockPose, unit: LengthUnit): string {
  if (contact.notSearched !== undefined) return `Clearance from the part: not searched, ${contact.notSearched}.`
  if (pose.tool === undefined) return 'Clearance from the part: not searched, the tool in the spindle is not in the setup sheet.'
  const figures: MotionFigures[] = []
  for (const motion of motionsOfLine(view.motions, line)) {
    const one = contact.figuresOf(motion)
    if (one === undefined) return 'Clearance from the part: not searched yet.'
    figures.push(one)
  }
  const known = clearancesOf(figures)
  if (known === undefined) return 'Clearance from the part: not searched in this block, its start or its tool is not known.'
  if (known.length === 0) return 'Clearance from the part: nothing to search in this block.'
  return ['Clearance from the part over the whole block:', '', ...known.map(one => `- ${clearanceText(one, unit)}`)].join('\n')
}

/** Reads the one line again; offsets of the word are those of the program. */
function wordUnder(view: ProgramView, line: number, offset: number): Word | undefined {
  const { start, end } = lineSpan(view.lineStarts, view.text, line)
  const reader = new BlockReader(view.text.slice(start, end), { wholeNumber: view.machine.control.wholeNumber }, () => {})
  const block = reader.next()
  if (block === undefined) return undefined
  const at = offset - start
  const moved = (span: Span): Span => ({ start: span.start + start, end: span.end + start })
  const sequence = sequenceSpan(block)
  if (sequence !== undefined && at >= sequence.start && at <= sequence.end) {
    return { letter: 'N', value: block.sequence, span: moved(sequence), hasPoint: false }
  }
  for (let i = 0; i < block.count; i++) {
    const word = wordAt(block, i)
    if (at >= word.span.start && at < word.span.end) return { ...word, span: moved(word.span) }
  }
  return undefined
}
