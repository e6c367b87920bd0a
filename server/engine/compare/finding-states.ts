import { levels, type ContactProperties, type Finding, type Level, type MotionExtent, type ResultProperties } from '../../../shared/finding.ts'

/** The order of the text, the program's own findings before those in other files. Never depends on who found it first. */
export function byPlace(a: Finding, b: Finding): number {
  return compareText(a.file ?? '', b.file ?? '')
    || a.span.start - b.span.start
    || a.span.end - b.span.end
    || compareText(a.rule, b.rule)
    || compareText(a.message, b.message)
}

/**
 * What each finding is known by when blocks are renumbered or other blocks are edited: the rule, what
 * touches what, the words of the block, and how many alike come before it in the text.
 */
export function findingKeys(findings: readonly Finding[], blockOf: (finding: Finding) => string): Map<Finding, string> {
  const keys = new Map<Finding, string>(), seen = new Map<string, number>()
  for (const finding of [...findings].sort(byPlace)) {
    const touch = finding.contact === undefined ? '' : `${finding.contact.component}/${finding.contact.against}`
    const key = JSON.stringify([finding.rule, touch, blockOf(finding)])
    const earlier = seen.get(key) ?? 0
    seen.set(key, earlier + 1)
    keys.set(finding, `${key}#${earlier}`)
  }
  return keys
}

/** How a finding stands to what was known before; the words of SARIF 2.1.0, 3.27.24. */
export type BaselineState = 'new' | 'unchanged' | 'updated'

/** What is kept of a finding to tell whether it has changed. */
export interface KnownFinding {
  readonly level: Level
  readonly open?: boolean
  readonly contact?: Pick<ContactProperties, 'depth' | 'clearance' | 'bound'>
  readonly result?: Pick<ResultProperties, 'height' | 'bound' | 'area' | 'besides'>
  readonly extent?: Pick<MotionExtent, 'figure'>
}

export type FindingChange = 'none' | 'worse' | 'better'

export interface FindingStates<K extends KnownFinding> {
  readonly stateOf: ReadonlyMap<Finding, BaselineState>
  /** Findings that were known and have become graver: they count like new ones. */
  readonly worse: ReadonlySet<Finding>
  /** Those known before that are not found any more. */
  readonly absent: readonly K[]
}

/** Holds findings against those known before; both by the same kind of key. */
export function findingStates<K extends KnownFinding>(found: ReadonlyMap<Finding, string>, known: ReadonlyMap<string, K>): FindingStates<K> {
  const stateOf = new Map<Finding, BaselineState>(), worse = new Set<Finding>(), met = new Set<string>()
  for (const [finding, key] of found) {
    const before = known.get(key)
    met.add(key)
    if (before === undefined) {
      stateOf.set(finding, 'new')
      continue
    }
    const change = findingChange(before, finding)
    stateOf.set(finding, change === 'none' ? 'unchanged' : 'updated')
    if (change === 'worse') worse.add(finding)
  }
  return { stateOf, worse, absent: [...known].filter(([key]) => !met.has(key)).map(([, before]) => before) }
}

/** Share of an area, or of a figure that has no proven interval, that may differ without saying anything: places are sampled, and words rounded. */
const sameShare = 0.01

/** How a finding has changed; figures whose proven intervals meet may be the same figure. */
export function findingChange(before: KnownFinding, now: KnownFinding): FindingChange {
  const rank = levels.indexOf(now.level) - levels.indexOf(before.level)
  if (rank !== 0) return rank > 0 ? 'worse' : 'better'
  const changes = [
    changeOf(distanceOf(before.contact), distanceOf(now.contact), -1, (before.contact?.bound ?? 0) + (now.contact?.bound ?? 0)),
    changeOf(before.result?.height, now.result?.height, 1, (before.result?.bound ?? 0) + (now.result?.bound ?? 0)),
    changeOf(surfaceOf(before), surfaceOf(now), 1, sameShare * (surfaceOf(before) ?? 0)),
    changeOf(before.extent?.figure, now.extent?.figure, 1, sameShare * Math.abs(before.extent?.figure ?? 0)),
  ]
  if (changes.includes('worse')) return 'worse'
  if (changes.includes('better')) return 'better'
  if ((before.open ?? false) === (now.open ?? false)) return 'none'
  return now.open === true ? 'better' : 'worse'
}

/** `worseWay`: 1 where a greater figure is worse, -1 where a smaller one is. */
function changeOf(before: number | undefined, now: number | undefined, worseWay: 1 | -1, slack: number): FindingChange {
  if (before === undefined || now === undefined) return 'none'
  const worse = (now - before) * worseWay
  return worse > slack ? 'worse' : worse < -slack ? 'better' : 'none'
}

/** Surface of the place and of those like it that are not told singly, mm². */
function surfaceOf({ result }: KnownFinding): number | undefined {
  return result === undefined ? undefined : result.area + (result.besides ?? 0)
}

/** Signed distance: a depth is negative. */
function distanceOf(contact: KnownFinding['contact']): number | undefined {
  return contact?.depth !== undefined ? -contact.depth : contact?.clearance
}

function compareText(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0
}
