import { components, type Finding, type Point } from '../../shared/finding.ts'
import { findingChange, findingKeys, findingStates } from './compare/finding-states.ts'
import { lineOf } from './nc/line-index.ts'
import type { ReadProgram } from './read-program.ts'
import type { LineMap } from './recheck-mend.ts'

/** What has become worse than it was: a sentence, and where. */
export interface Worse {
  readonly why: string
  /** 0-based line of the old text; undefined where it is about no block of the program. */
  readonly line: number | undefined
  /** Where on the part, when it is about material: what has left it there can be another block than the one that meets it. mm, part frame. */
  readonly point?: Point
  /** More material stands on the part than stood. */
  readonly isLeft: boolean
  /** It stood there before, no lower, over less of the part: where a cut that was too deep comes up, the ridges beside it grow wider. */
  readonly isWider: boolean
}

/** A text as it was read, and what was found in it; with the same levels for both that are compared. */
export interface Judged { readonly program: ReadProgram, readonly findings: readonly Finding[] }

/** Lines between two findings that may still be one: a fault at the joint of two blocks stands at either. */
const lineSlack = 1

/** mm. Places on the part nearer than this, and their own extent, are one. */
const placeSlack = 1

/**
 * Findings of a changed text that are new, or graver than they were, as a comparison of two programs tells them; blocks are known by their lines,
 * since their words have changed. Contact of a component with part, fixtures and barriers is left to `worseContact`, which judges motion by motion.
 */
export function worseFindings(before: Judged, after: Judged, lines: LineMap): Worse[] {
  const place = placeIn(after, lines)
  const known = new Map([...findingKeys(before.findings, placeIn(before))].map(([finding, key]) => [key, finding]))
  const { stateOf, worse } = findingStates(findingKeys(after.findings, place), known)
  // What no pass comes near is only a note where no stock is stated, but a mend must not leave more of it.
  const counts = ({ level, result }: Finding) => level !== 'note' || result !== undefined
  const graver = after.findings.filter(finding => counts(finding) && !isJudgedByMotion(finding) && !isRemark(finding) && (stateOf.get(finding) === 'new' || worse.has(finding)))
  // What was one run of blocks with its worst here can now have its worst elsewhere.
  const causes = (finding: Finding) => before.findings.filter(old => isSameCause(old, finding, before, after, lines))
  return graver.filter(finding => causes(finding).every(old => findingChange(old, finding) === 'worse')).map(finding => ({
    why: `${finding.rule}: ${finding.message}`,
    line: lineIn(after, finding, lines),
    isLeft: finding.result !== undefined,
    isWider: finding.rule !== 'undercut-unreached' && causes(finding).some(old => findingChange({ ...old, ...widthOf(finding, old) }, finding) !== 'worse'),
    ...isOfMaterial(finding) ? { point: finding.contact?.point ?? finding.result?.point } : {},
  }))
}

/** An earlier finding about what is left, with the surface of a later one. */
function widthOf({ result: now }: Finding, { result: old }: Finding): Pick<Finding, 'result'> {
  return now === undefined || old === undefined ? {} : { result: { ...old, area: now.area, besides: now.besides } }
}

function isJudgedByMotion({ rule, contact }: Finding): boolean {
  return contact !== undefined && rule !== 'starts-inside' && components.some(each => each === contact.component) && /^(?:part|fixture:|barrier:)/.test(contact.against)
}

/** That something could not be looked at is told by itself; that a reviewer's comment covers nothing any more is no fault of the motion. */
function isRemark({ rule, span }: Finding): boolean {
  return rule === 'not-checked' && span.end === 0 || rule === 'waiver-unused'
}

function isOfMaterial({ contact, result }: Finding): boolean {
  return result !== undefined || contact?.against === 'stock'
}

function placeIn(judged: Judged, lines?: LineMap): (finding: Finding) => string {
  return finding => String(lineIn(judged, finding, lines) ?? `${finding.file}:${finding.span.start}`)
}

/** 0-based line of the old text: of the block itself, or of the call that leads to it. */
function lineIn({ program }: Judged, { file, span, related }: Finding, lines?: LineMap): number | undefined {
  const own = file === undefined ? span : related?.find(each => each.file === undefined)?.span
  if (own === undefined) return undefined
  const line = lineOf(program.lineStarts, own.start)
  return lines?.oldLine(line) ?? line
}

/** Whether a finding can be what is left of an earlier one: the same rule on the same things, and within its blocks or at its place. */
function isSameCause(old: Finding, now: Finding, before: Judged, after: Judged, lines: LineMap): boolean {
  if (old.rule !== now.rule || old.contact?.component !== now.contact?.component || old.contact?.against !== now.contact?.against) return false
  if (old.result !== undefined && now.result !== undefined) {
    const apart = Math.hypot(...old.result.point.map((value, k) => value - (now.result?.point[k] ?? 0)))
    return apart <= placeSlack + 2 * Math.sqrt(old.result.area / Math.PI)
  }
  const was = blocksOf(old, before), is = blocksOf(now, after)?.map(line => lines.oldLine(line))
  if (was === undefined || is === undefined) return false
  return (is[0] ?? 0) >= (was[0] ?? 0) - lineSlack && (is[1] ?? 0) <= (was[1] ?? 0) + lineSlack
}

/** First and last 0-based line that a finding is about. */
function blocksOf(finding: Finding, judged: Judged): readonly number[] | undefined {
  const extent = finding.contact ?? finding.extent
  if (extent !== undefined) return [extent.firstLine - 1, extent.lastLine - 1]
  const line = lineIn(judged, finding)
  return line === undefined ? undefined : [line, line]
}
