import { boundNumber, boundText, decimalsOf } from '../shared/bound-text.ts'
import type { Component, Level, Point } from '../shared/finding.ts'
import type { MotionChange, OtherVersion, SceneDescription, SceneFinding } from '../shared/protocol/scene-messages.ts'
import type { PoseAnswer, Status } from '../shared/protocol/server-messages.ts'

// Figures and sentences as the user reads them. Lengths arrive in mm and leave in the unit of the sheet.

export interface Row {
  readonly label: string
  readonly value: string
  /** What may never touch does: the row is marked by a sign as well as by colour. */
  readonly touches?: boolean
}

export function lengthText(mm: number, unit: number): string {
  // Less than the last place shown is nothing; without this a small negative reads -0.000.
  const text = (mm / unit).toFixed(decimalsOf(unit))
  return /^-0\.0+$/.test(text) ? text.slice(1) : text
}

export function unitName(unit: number): string {
  return unit === 1 ? 'mm' : 'in'
}

/** The rows beside the picture for the block the cursor stands on. */
export function readoutRows(pose: PoseAnswer | undefined, scene: SceneDescription | undefined): readonly Row[] {
  if (pose === undefined || scene === undefined) return []
  const rows: Row[] = []
  const tool = pose.tool === undefined ? undefined : scene.tools[pose.tool]
  if (tool !== undefined) rows.push({ label: 'Tool', value: `T${tool.number} ${tool.name}` })
  else if (pose.toolNumber !== undefined) rows.push({ label: 'Tool', value: `T${pose.toolNumber}, not in the setup sheet` })
  else rows.push({ label: 'Tool', value: 'none in the spindle' })
  if (pose.pose === undefined) {
    rows.push({ label: 'Position', value: 'not known at this block' })
  } else {
    const { point, axis, rotary } = pose.pose
    const length = (mm: number) => lengthText(mm, scene.unit)
    rows.push({ label: 'Tool point', value: `X ${length(point[0])}  Y ${length(point[1])}  Z ${length(point[2])} ${unitName(scene.unit)}` })
    rows.push({ label: 'Tool axis', value: axis.map(part => signed(part.toFixed(5))).join('  ').trimStart() })
    if (rotary.length > 0) {
      rows.push({ label: 'Rotary axes', value: rotary.map(({ letter, degrees }) => `${letter} ${signed(degrees.toFixed(3)).trimStart()}°`).join('  ') })
    }
  }
  if (pose.rapid !== undefined) rows.push({ label: 'Motion', value: pose.rapid ? 'rapid' : 'feed' })
  for (const clearance of pose.clearances ?? []) rows.push(clearanceRow(clearance, scene.unit))
  return rows
}

function clearanceRow(clearance: NonNullable<PoseAnswer['clearances']>[number], unit: number): Row {
  const { value, bound, beyond } = clearance
  const label = componentName(clearance.component)
  const figure = `${lengthText(Math.abs(value), unit)} ± ${boundNumber(bound, unit)} ${unitName(unit)}`
  if (beyond === true) return { label, value: `more than ${lengthText(value, unit)} ${unitName(unit)} away` }
  // Within the bound the sign is not proven; say so rather than choose.
  if (Math.abs(value) <= bound) return { label, value: `touches the surface, ${figure}` }
  if (value > 0) return { label, value: `${figure} away` }
  // How deep a cutter may go is for the findings to say; what stands above it may not touch at all.
  return clearance.component === 'cutter' ? { label, value: `${figure} below the surface` } : { label, value: `${figure} inside the part`, touches: true }
}

export function componentName(component: Component): string {
  return capitalised(component)
}

export function capitalised(word: string): string {
  return word.charAt(0).toUpperCase() + word.slice(1)
}

/** A finding's figure beside its mark: how deep or how near, with its bound. */
export function figureLabel({ component, depth, clearance, bound }: NonNullable<SceneFinding['contact']>, unit: number): string | undefined {
  const figure = depth ?? clearance
  if (figure === undefined) return undefined
  return `${capitalised(component)} ${lengthText(figure, unit)} ± ${boundNumber(bound, unit)} ${unitName(unit)} ${depth === undefined ? 'away' : 'deep'}`
}

/** The way from one point to another, along the axes of the part frame and straight. */
export function measureText(from: Point, to: Point, unit: number): string {
  const ways = [0, 1, 2].map(k => (to[k] ?? 0) - (from[k] ?? 0))
  const along = ['X', 'Y', 'Z'].map((letter, k) => `${letter} ${lengthText(ways[k] ?? 0, unit)}`)
  return `${lengthText(Math.hypot(...ways), unit)} ${unitName(unit)}   ${along.join('  ')}`
}

/** How two versions differ in motion, in one or two sentences. What was not compared is said. */
export function comparisonText({ name, mend, changes, rewritten, sameMotions }: OtherVersion, unit: number): string {
  const about = (words: string) => mend === undefined ? `Against ${name}: ${words} Feeds, speeds and clearances are not compared here.` : `${mend}. In ${name} ${words}`
  if (changes.length === 0) {
    const written = rewritten === 0 ? '' : `, ${grouped(rewritten)} of them written in other blocks`
    return about(`every motion runs the same way (${grouped(sameMotions + rewritten)} compared${written}).`)
  }
  const known = changes.flatMap(({ apart }) => apart === undefined ? [] : [apart.atMost]), turned = Math.max(...changes.map(change => change.turned?.atMost ?? 0))
  const turn = turned < LEAST_TURN ? '' : `, the axis turned by no more than ${boundText(degrees(turned))}°`
  const farthest = known.length === changes.length ? `, the tool points no more than ${boundNumber(Math.max(...known), unit)} ${unitName(unit)} apart${turn}` : ', some by a distance that is not known'
  return about(`${changes.length === 1 ? 'one stretch runs' : `${grouped(changes.length)} stretches run`} another way${farthest}; ${grouped(sameMotions)} motions are the same.`)
}

/** `isMend`: what the other version has is what would be put in. */
export function changeText({ lines, old, new: now, apart, turned }: MotionChange, unit: number, isMend = false): string {
  const count = (motions: number) => `${grouped(motions)} motion${motions === 1 ? '' : 's'}`
  const place = lines === undefined ? '' : lines[0] === lines[1] ? `line ${lines[0] + 1}` : `lines ${lines[0] + 1} to ${lines[1] + 1}`
  const what = now.end === now.first ? `${count(old.end - old.first)} ${isMend ? 'put in' : 'gone'}` : old.end === old.first ? `${count(now.end - now.first)} ${isMend ? 'left out' : 'new'}` : apart === undefined ? 'another way, distance not known' : deviationText(apart.value, turned?.value ?? 0, unit)
  return lines === undefined ? what : `${place}: ${what}`
}

/** Turns smaller than this are not told, radians: half of the last place shown. */
const LEAST_TURN = 0.0005 * Math.PI / 180

/** How far tool points are apart, and how far the axes have turned; what is nothing to the last place is left out where there is the other. */
function deviationText(apart: number, turned: number, unit: number): string {
  const distance = lengthText(apart, unit), isTurned = turned >= LEAST_TURN
  const parts = [...isTurned && Number(distance) === 0 ? [] : [`up to ${distance} ${unitName(unit)} apart`], ...isTurned ? [`axis turned by up to ${degrees(turned).toFixed(3)}°`] : []]
  return parts.join(', ')
}

function degrees(radians: number): number {
  return radians * 180 / Math.PI
}

/** A time of the program: 1:02:03.4. */
export function clockText(seconds: number): string {
  const tenths = Math.round(seconds * 10)
  const hours = Math.floor(tenths / 36000), minutes = Math.floor(tenths / 600) % 60
  const rest = `${Math.floor(tenths / 10) % 60}`.padStart(2, '0') + `.${tenths % 10}`
  return hours > 0 ? `${hours}:${`${minutes}`.padStart(2, '0')}:${rest}` : `${minutes}:${rest}`
}

export function levelName(level: Level): string {
  return { error: 'Error', warning: 'Warning', note: 'Note' }[level]
}

export function findingPlace(finding: SceneFinding): string {
  return finding.firstLine === finding.lastLine
    ? `line ${finding.line + 1}`
    : `line ${finding.line + 1}, worst of ${finding.firstLine + 1} to ${finding.lastLine + 1}`
}

/** One finding as a screen reader speaks it: in the order in which it is read, so that who speaks to the page can say what is seen. */
export function findingSpoken(finding: SceneFinding): string {
  const level = finding.waiver === undefined ? levelName(finding.level) : `Accepted ${levelName(finding.level).toLowerCase()}`
  const open = finding.open === true ? ` ${undecided}` : '', accepted = finding.waiver === undefined ? '' : ` ${acceptedWords(finding.waiver)}`
  return `${level}, ${finding.rule} ${findingPlace(finding)} ${finding.message}${open}${accepted}`
}

/** What stands below a finding that cannot be decided, and below one that a reviewer has accepted. */
export const undecided = 'The proven bounds cannot decide this one.'

export function acceptedWords(reason: string): string {
  return `Accepted in the program: ${reason}`
}

/** How many of each level, gravest first: `2 errors, 1 warning`. Nothing is called clean before it has been looked at. */
export function findingCounts(findings: readonly SceneFinding[] | undefined, status: Status | undefined): string {
  if (findings === undefined) return 'Findings'
  if (findings.length === 0) return status === undefined || status.phase === 'done' ? 'No findings' : 'No findings so far'
  const levels: readonly Level[] = ['error', 'warning', 'note']
  return levels.flatMap(level => {
    const count = findings.filter(finding => finding.level === level).length
    return count === 0 ? [] : [`${count} ${level}${count === 1 ? '' : 's'}`]
  }).join(', ')
}

/** The block as one sentence, for people who do not see the picture. */
export function spokenBlock(pose: PoseAnswer, scene: SceneDescription): string {
  const rows = readoutRows(pose, scene).map(row => `${row.label}: ${row.value}`).join('. ')
  return `Line ${pose.line + 1}. ${rows}.`
}

export function statusText(status: Status | undefined): string {
  if (status === undefined) return ''
  return status.total > 0 && status.phase === 'searching'
    ? `${status.message} (${status.done} of ${status.total} blocks)`
    : status.message
}

/** What the picture holds, in words. */
export function sceneSummary(scene: SceneDescription, status: Status | undefined): string {
  const part = scene.part === undefined ? 'no part' : `part ${scene.part.name} of ${grouped(scene.part.triangles)} triangles`
  return `${part}, ${grouped(Math.max(0, scene.path.vertices - 1))} path segments. ${findingCounts(scene.findings, status)}.`
}

/** 200000 as 200,000: the viewer speaks English whatever the system's language. */
export function grouped(count: number): string {
  return count.toString().replace(/\B(?=(\d{3})+$)/g, ',')
}

function signed(text: string): string {
  return text.startsWith('-') ? (Number(text) === 0 ? ` ${text.slice(1)}` : text) : ` ${text}`
}
