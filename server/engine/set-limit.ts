import type { Edit, Finding } from '../../shared/finding.ts'
import type { Limits, Setup } from '../../shared/setup.ts'
import { MotionFlag } from '../../shared/toolpath.ts'
import type { LimitTable } from './contact/effective-limits.ts'
import { grossDepth } from './contact/figure-words.ts'
import { containerOf, memberOf, type SheetAddition } from './extend-sheet.ts'
import { motionsOfLine } from './features/motions-by-line.ts'
import type { ProgramView } from './features/program-view.ts'
import { additionTo } from './features/sheet-additions.ts'
import { lineOf } from './nc/line-index.ts'
import { parseJson, type JsonNode } from './setup/json-tree.ts'

/** What a limit would have to be, so that a finding is no more. */
interface NeededLimit {
  /** Its short name: `gouge`, `clearance.holder`. */
  readonly name: string
  /** mm; radians where it is an angle. */
  readonly value: number
  readonly isAngle?: boolean
  /** A depth or a height is rounded up, a clearance down: both to the side on which the finding is gone. */
  readonly round: 'up' | 'down'
}

/** Rules about one clearance of their own. */
const clearanceOf: Readonly<Record<string, keyof Limits['clearance']>> = {
  'neck-clearance': 'neck', 'shank-clearance': 'shank', 'holder-clearance': 'holder', 'head-clearance': 'head', 'rapid-clearance': 'rapid',
}

type LimitedView = Pick<ProgramView, 'setup' | 'motions' | 'toolpath' | 'lineStarts'>

/** A limit of the tool axis: under which name the limits in force know where it is stated, what of that is written, and how much is added so that its rule, as it compares, finds it kept. */
interface AxisLimit { readonly name: string, readonly member: readonly string[], readonly isAngle: boolean, readonly hair: number }

/** Rules that judge the axis in a run of motions, whose worst figure they tell. */
const axisLimits: Readonly<Record<string, AxisLimit>> = {
  'rotary-swing': { name: 'axisStep', member: [], isAngle: true, hair: 0 },
  'axis-off-point': { name: 'axisThrough', member: ['within'], isAngle: false, hair: 1e-9 },
}

/**
 * Sets the limit of a finding in the setup sheet to what the block in fact does, as proven: a decision of whoever makes it, which changes
 * no motion. Where a pass states the limit, it is that of the pass. Undefined where no single limit would end the finding:
 * something touches, the figure is not known closely enough, or another limit asks for as much.
 */
export function limitChange(finding: Finding, { setup, motions, toolpath, lineStarts }: LimitedView, limits: LimitTable | undefined, sheet: string): SheetAddition | undefined {
  if (setup === undefined || limits === undefined) return undefined
  const { root } = parseJson(sheet)
  if (root === undefined) return undefined
  if (finding.rule === 'fixture-clearance') return fixtureChange(finding, setup, sheet, root)
  const ofAxis = axisLimits[finding.rule]
  if (ofAxis !== undefined) return axisChange(finding, ofAxis, { motions, lineStarts }, limits, setup, sheet, root)
  const motion = finding.contact === undefined ? undefined : motionsOfLine(motions, finding.contact.worstLine - 1)[0]
  const set = motion === undefined ? undefined : limits.sets[limits.ofMotion[motion] ?? -1]
  const isRapid = motion !== undefined && ((toolpath.flags[motion] ?? 0) & MotionFlag.rapid) !== 0
  const needed = neededLimit(finding, set?.limits ?? setup.limits, isRapid)
  if (needed === undefined) return undefined
  const stated = (finding.related ?? []).flatMap(({ file, span }) => file === setup.path ? Object.entries(setup.spans).filter(([name, at]) => name.endsWith(`limits.${needed.name}`) && at.start === span.start).map(([name]) => name) : [])
  return changed(needed, (stated[0] ?? `limits.${needed.name}`).split('.'), setup, sheet, root)
}

function neededLimit({ rule, contact, result }: Finding, limits: Limits, isRapid: boolean): NeededLimit | undefined {
  if ((rule === 'leftover' || rule === 'scallop') && result?.height !== undefined) return { name: 'leftover', value: result.height + (result.bound ?? 0) - limits.stockToLeave, round: 'up' }
  if (contact === undefined || contact.against !== 'part') return undefined
  const certified = (contact.depth === undefined ? contact.clearance ?? 0 : -contact.depth) - contact.bound
  if (rule === 'gouge') {
    // Where stock is to be left that is the limit in question, and a gouge deeper than this is not followed to its end.
    if (limits.stockToLeave > limits.gouge || certified < -grossDepth) return undefined
    return { name: 'gouge', value: limits.stockToLeave - certified, round: 'up' }
  }
  // Smaller than nothing is no clearance.
  if (certified <= 0) return undefined
  const { clearance } = limits
  const own = contact.component === 'neck' || contact.component === 'shank' || contact.component === 'holder' ? clearance[contact.component] : 0
  const key = rule === 'rotation-near-part' ? own >= clearance.rapid ? ownKey(contact.component) : 'rapid' : clearanceOf[rule]
  if (key === undefined) return undefined
  // At rapid the larger of two clearances holds: to lower one is of no use while the other asks for as much.
  const other = key === 'rapid' ? own : isRapid || rule === 'rotation-near-part' ? clearance.rapid : 0
  return other > certified ? undefined : { name: `clearance.${key}`, value: certified, round: 'down' }
}

function ownKey(component: string): keyof Limits['clearance'] | undefined {
  return clearanceOf[`${component}-clearance`]
}

/** Undefined where the blocks of the finding have their limit from different places of the sheet, or lie in another file. */
function axisChange(
  { extent, file, span }: Finding, { name, member, isAngle, hair }: AxisLimit, { motions, lineStarts }: Pick<LimitedView, 'motions' | 'lineStarts'>, limits: LimitTable, setup: Setup, sheet: string, root: JsonNode,
): SheetAddition | undefined {
  if (extent === undefined || file !== undefined) return undefined
  const statedAt = (line: number): string[] => Array.from(motionsOfLine(motions, line), motion => limits.sets[limits.ofMotion[motion] ?? -1]?.origin[name] ?? `limits.${name}`)
  const [path] = statedAt(lineOf(lineStarts, span.start))
  for (let line = extent.firstLine - 1; line < extent.lastLine; line++) if (statedAt(line).some(each => each !== path)) return undefined
  return path === undefined ? undefined : changed({ name, value: extent.figure + hair, isAngle, round: 'up' }, [...path.split('.'), ...member], setup, sheet, root)
}

/** A fixture has its own clearance, whatever the limits are. */
function fixtureChange({ contact }: Finding, setup: Setup, sheet: string, root: JsonNode): SheetAddition | undefined {
  const index = setup.fixtures.findIndex(({ name }) => contact?.against === `fixture:${name}`), certified = (contact?.clearance ?? 0) - (contact?.bound ?? 0)
  if (index < 0 || certified <= 0) return undefined
  return changed({ name: 'clearance', value: certified, round: 'down' }, ['fixtures', String(index), 'clearance'], setup, sheet, root)
}

function changed({ value, isAngle = false, round }: NeededLimit, path: readonly string[], { unit }: Setup, sheet: string, root: JsonNode): SheetAddition | undefined {
  // In the sheet's unit, with no more digits than a person would write.
  const [grid, inSheet, said] = isAngle ? [1000, value * 180 / Math.PI, '°'] : unit === 1 ? [1000, value, ' mm'] : [10_000, value / unit, ' inch'], steps = inSheet * grid
  const rounded = (round === 'up' ? Math.ceil(steps - 1e-6) : Math.floor(steps + 1e-6)) / grid
  const edits = setMember(sheet, root, path, String(rounded))
  if (edits === undefined) return undefined
  return { title: `Set ${path.join('.')} to ${rounded}${said} in the setup sheet (allows this; every motion stays)`, edits }
}

/** Puts a value where the path leads, with the objects on the way that are not there yet; undefined where something else stands in the way. */
function setMember(sheet: string, root: JsonNode, path: readonly string[], value: string): readonly Edit[] | undefined {
  let at = root
  for (const [i, name] of path.entries()) {
    const next = at.kind === 'object' ? memberOf(at, name) : at.kind === 'array' ? at.items[Number(name)] : undefined
    if (next === undefined) {
      if (at.kind !== 'object') return undefined
      const rest = path.slice(i), words = rest.map(key => `${JSON.stringify(key)}: `).join('{ ') + value + ' }'.repeat(rest.length - 1)
      return additionTo(sheet, containerOf(at), [words])
    }
    at = next
  }
  return [{ span: at.span, text: value }]
}
