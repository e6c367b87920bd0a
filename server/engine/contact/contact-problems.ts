import type { ContactProperties, Related } from '../../../shared/finding.ts'
import { MotionPose } from '../../../shared/motion-pose.ts'
import type { Problem } from '../../../shared/problem.ts'
import type { Setup } from '../../../shared/setup.ts'
import type { Span } from '../../../shared/span.ts'
import { MotionFlag } from '../../../shared/toolpath.ts'
import type { ContactFigures } from './contact-figures.ts'
import type { NearFigure } from './near-figure.ts'
import { contactRuns } from './contact-runs.ts'
import type { EffectiveLimits } from './effective-limits.ts'
import { figure, mm, nearness, place } from './figure-words.ts'
import type { MotionFault } from './motion-faults.ts'
import { nameOf, nearRuns, phraseOf, type NearRun } from './near-runs.ts'
import type { ContactRun } from './run-gatherer.ts'
import type { SearchInput } from './search-motions.ts'
import type { InsideStart } from './starts-inside.ts'
import { turningAxes } from './turning.ts'
import { nearPlaces, nearSentence } from './near-words.ts'

/** Other places of one cause that are named beside the worst. */
const mostElsewhere = 10

/** How lines of the program are found and called. */
export interface LineNames {
  /** Span of the block on that 0-based line. */
  readonly span: (line: number) => Span
  /** "N120", or "line 12" where it has no number. */
  readonly name: (line: number) => string
}

export type ContactProblem = Problem & { readonly contact: ContactProperties, readonly open?: boolean }

/** What a search has found: the faults against the part in the order of the motions, and what else its figures hold. */
export interface FoundContact extends Pick<ContactFigures, 'inside' | 'near'> {
  readonly faults: Iterable<MotionFault>
}

/** Words what a search has found: one problem a cause, at its worst block. */
export function contactProblems(input: SearchInput, setup: Setup, { inside, near, faults }: FoundContact, lines: LineNames): ContactProblem[] {
  const pose = poseOf(input)
  return [
    ...insideProblems(input, setup, inside, lines, pose),
    ...contactRuns(input.toolpath, faults, lengthsBy(pose)).map(run => problemOf(run, input, setup, lines, pose)),
    ...nearProblems(input, setup, near, lines, pose),
  ]
}

/** Words figures against anything but the part. */
export function nearProblems(input: SearchInput, setup: Setup, near: readonly NearFigure[], lines: LineNames, pose = poseOf(input)): ContactProblem[] {
  return nearRuns(input, setup, near, lengthsBy(pose)).map(run => problemOf(run, input, setup, lines, pose))
}

function poseOf({ kinematics, toolpath, assemblies }: SearchInput): MotionPose {
  return new MotionPose(kinematics, toolpath, assemblies.map(assembly => assembly?.gaugeLength ?? 0))
}

/** How far the tool point goes in a motion, mm. */
function lengthsBy(pose: MotionPose): (motion: number) => number {
  return motion => {
    pose.begin(motion)
    return pose.speed
  }
}

function insideProblems(input: SearchInput, setup: Setup, starts: readonly InsideStart[], lines: LineNames, pose: MotionPose): ContactProblem[] {
  return starts.map(({ motion, component, against, point }) => {
    const line = input.toolpath.line[motion], number = setup.tools[input.toolpath.tool[motion]].number
    pose.begin(motion)
    pose.at(0)
    return {
      rule: 'starts-inside',
      motion,
      span: lines.span(line),
      message: `Tool ${number} starts here with its ${component} inside ${against === undefined ? 'the part' : phraseOf(against, setup, input)}, at ${place(point)}; contact cannot be told apart from there. Check the work offset, the length offset and where the mesh lies.`,
      contact: {
        component, against: against === undefined ? 'part' : nameOf(against, setup, input), depth: 0, bound: 0, allowed: 0, point,
        toolPoint: [pose.px, pose.py, pose.pz], toolAxis: [pose.ax, pose.ay, pose.az],
        firstLine: line + 1, lastLine: line + 1, worstLine: line + 1, blocks: 1,
      },
    }
  })
}

function problemOf(run: ContactRun | NearRun, input: SearchInput, setup: Setup, lines: LineNames, pose: MotionPose): ContactProblem {
  const { toolpath, limits } = input
  const middle = (run.value + run.certified) / 2, bound = (run.value - run.certified) / 2
  pose.begin(run.worst)
  pose.at(run.time)
  const { wanted } = run.worstVerdict
  const touches = middle < 0
  const line = toolpath.line[run.worst]
  const contact: ContactProperties = {
    component: run.component,
    against: run.against,
    ...(touches ? { depth: -middle } : { clearance: middle }),
    bound,
    allowed: Math.abs(wanted),
    point: run.point,
    toolPoint: [pose.px, pose.py, pose.pz],
    toolAxis: [pose.ax, pose.ay, pose.az],
    firstLine: (run.seen?.low ?? toolpath.line[run.first]) + 1,
    lastLine: (run.seen?.high ?? toolpath.line[run.last]) + 1,
    worstLine: line + 1,
    blocks: run.blocks,
  }
  // Bodies of the machine move without a tool too.
  const number = setup.tools.at(run.tool)?.number ?? 0
  const inForce = limits.sets[limits.ofMotion[run.worst]]
  const rapid = (toolpath.flags[run.worst] & MotionFlag.rapid) !== 0
  const words = 'obstacle' in run ? nearSentence(run, number, setup, input, rapid, middle, bound) : sentence(run, number, input, middle, bound)
  return {
    rule: run.rule,
    motion: run.worst,
    span: lines.span(line),
    message: `${words} ${whereabouts(run, contact, lines)}`,
    related: [...limitPlace(setup, inForce, run), ...'obstacle' in run ? nearPlaces(run, setup) : [], ...elsewhere(run, input, lines)],
    contact,
    ...(run.open ? { open: true } : {}),
    // Nothing was met there: only what may stand between two rays keeps it from being clear.
    ...(run.open && 'obstacle' in run && run.obstacle.kind === 'stock' && typeof run.who === 'string' ? { level: 'warning' as const } : {}),
  }
}

/** What touches what, how deep or how near, what was allowed, and what is lacking. */
function sentence(run: ContactRun, tool: number, { kinematics, toolpath }: SearchInput, middle: number, bound: number): string {
  const who = `Tool ${tool}'s ${run.component}`
  const { wanted, limit } = run.worstVerdict
  const axes = turningAxes(toolpath, kinematics, run.worst)
  const turns = run.rule === 'rotation-near-part' ? ` while ${axes} ${axes.includes(' ') ? 'turn' : 'turns'}` : undefined
  const rapid = turns ?? (limit === 'clearance.rapid' || run.rule === 'rapid-into-part' ? ' at rapid' : '')
  if (run.open) {
    return `${who} stands ${figure(Math.abs(middle), bound)} ${middle < 0 ? 'below' : 'above'} the part's surface${rapid}. The limit, ${signed(wanted)}, lies inside the proven interval: this cannot be decided.`
  }
  if (run.rule === 'gouge') {
    return wanted > 0
      ? `${who} ${nearness(middle, bound, 'the part\'s surface')}; ${mm(wanted)} is to be left standing. ${mm(wanted - middle)} more distance is needed.`
      : `${who} cuts ${figure(-middle, bound)} below the part's surface; ${mm(-wanted)} is allowed. It must come up by ${mm(wanted - middle)}.`
  }
  if (turns !== undefined) {
    const where = middle < 0 ? `stands ${figure(-middle, bound)} in the part` : nearness(middle, bound, 'the part')
    return `${who} ${where}${turns}; a rotary axis is to turn ${mm(wanted)} or more away from it. It lacks ${mm(wanted - middle)}.`
  }
  if (wanted <= 0) return `${who} runs ${figure(-middle, bound)} into the part${rapid}; it must come away by at least that much.`
  return `${who} ${nearness(middle, bound, 'the part')}${rapid}; ${mm(wanted)} is asked for. It lacks ${mm(wanted - middle)}.`
}

/** A limit as a height over the surface. */
function signed(wanted: number): string {
  return wanted === 0 ? 'the surface itself' : `${mm(Math.abs(wanted))} ${wanted < 0 ? 'below' : 'above'} it`
}

function whereabouts(run: ContactRun, contact: ContactProperties, lines: LineNames): string {
  const at = `Worst at ${place(contact.point)} ${contact.against === 'stock' ? 'in the stock' : 'on the mesh'}`
  if (run.blocks <= 1) return `${at}.`
  const first = lines.name(contact.firstLine - 1), last = lines.name(contact.lastLine - 1)
  return `${at}; ${run.blocks} blocks, ${first} to ${last}, are affected.`
}

function limitPlace(setup: Setup, inForce: EffectiveLimits, run: ContactRun): Related[] {
  const name = run.worstVerdict.limit
  if (name === undefined) return []
  const span = setup.spans[inForce.origin[name] ?? `limits.${name}`]
  return span === undefined ? [] : [{ file: setup.path, span, message: 'The limit is set here.' }]
}

function elsewhere(run: ContactRun, input: SearchInput, lines: LineNames): Related[] {
  const places = [...new Set(run.elsewhere.map(motion => input.toolpath.line[motion]))]
    .filter(line => line !== input.toolpath.line[run.worst]).sort((a, b) => a - b)
  return places.slice(0, mostElsewhere).map(line => ({ span: lines.span(line), message: `The same place is touched again in ${lines.name(line)}.` }))
}
