import type { Edit, Finding } from '../../shared/finding.ts'
import { MotionPose } from '../../shared/motion-pose.ts'
import type { Setup, Tool } from '../../shared/setup.ts'
import { NO_TOOL } from '../../shared/toolpath.ts'
import { searchFindings } from './contact-findings.ts'
import { ComponentDistance } from './contact/component-distance.ts'
import { motionFaults, type MotionFault } from './contact/motion-faults.ts'
import type { ContactFigures } from './contact/contact-figures.ts'
import { SceneSearcher } from './contact/scene-searcher.ts'
import type { SearchInput } from './contact/search-motions.ts'
import { defaultEpsilon } from './geometry/tolerance.ts'
import type { MendInput } from './mend-program.ts'
import type { MendProof } from './mend-proof.ts'
import type { Scene } from './open-scene.ts'
import { readProgram, type ReadProgram } from './read-program.ts'
import { LineMap, worseContact } from './recheck-mend.ts'
import { searchInputOf } from './search-input.ts'
import { worseFindings, type Judged } from './worse-findings.ts'

/** The stick-out with which a tool's holder keeps its distance in the whole program; or why there is none. */
export interface Reach {
  readonly tool: number
  /** mm, as the sheet has it. */
  readonly from: number
  /** mm; undefined where none was found, and `why` says so. */
  readonly to?: number
  readonly why?: string
  /** What the sheet has to say then, and where it lies. */
  readonly sheet?: { readonly path: string, readonly edit: Edit }
  /** What the whole check with that stick-out has looked at, and what not; absent where it has not been made. */
  readonly proof?: MendProof
}

/** The scene with tools set up as long as that. */
export function withStickOuts(scene: Scene, stickOuts: readonly Pick<Reach, 'tool' | 'to'>[]): Scene {
  const { setup } = scene
  if (setup === undefined) return scene
  return { ...scene, setup: { ...setup, tools: setup.tools.map(tool => ({ ...tool, LPR: stickOuts.find(each => each.tool === tool.number)?.to ?? tool.LPR })) } }
}

/** mm. A stick-out is set by hand, to a tenth. */
const fineness = 0.1

/** mm. Nobody pulls a tool out farther. */
const mostMore = 150

/** Rounds of raising the holder and searching again. */
const mostRounds = 6

/** mm. A figure is driven this much past its limit. */
const margin = 2e-5

/** For each tool whose holder comes too near: the least stick-out that ends that everywhere, proven by a search of the whole program with it. Stock and what is left are looked at by whoever has them (`edge/prove-reach.ts`). */
export function reachOf(input: MendInput, program: ReadProgram, figures: ContactFigures): Reach[] {
  const { scene, cancellation } = input, { setup } = scene, search = searchInputOf(program, scene, defaultEpsilon)
  if (setup === undefined || search === undefined) return []
  const faults = holderFaults(search, figures)
  return setup.tools.flatMap((tool, index): Reach[] => {
    const own = faults.filter(({ motion }) => program.toolpath.tool[motion] === index)
    return own.length === 0 || cancellation.cancelled() ? [] : [reachFor(tool, index, own, { input, program, figures, search, setup })]
  })
}

interface Known { readonly input: MendInput, readonly program: ReadProgram, readonly figures: ContactFigures, readonly search: SearchInput, readonly setup: Setup }

function reachFor(tool: Tool, index: number, faults: readonly MotionFault[], { input, program, figures, search, setup }: Known): Reach {
  const { scene, mesh, obstacles, cancellation } = input, none = (why: string): Reach => ({ tool: tool.number, from: tool.LPR, why })
  let open = faults, longer = tool.LPR, current = { program, search }
  for (let round = 0; round < mostRounds; round++) {
    const more = Math.max(...open.map(fault => raiseFor(fault, current.search)))
    if (!(more < mostMore)) return none('no stick-out gives the holder its distance')
    longer = Math.ceil((longer + more) / fineness - 1e-6) * fineness
    const changed = withStickOuts(scene, [{ tool: tool.number, to: longer }])
    const again = readProgram({ path: program.path, text: program.text }, changed, { cancellation, programs: program.programs })
    const next = searchInputOf(again, changed, defaultEpsilon)
    if (next === undefined || !again.complete) return none('it was called off')
    const now = new SceneSearcher(next, { part: mesh, obstacles }, cancellation).searchRun(0, again.toolpath.count)
    if (cancellation.cancelled()) return none('it was called off')
    current = { program: again, search: next }
    open = holderFaults(next, now).filter(({ motion }) => again.toolpath.tool[motion] === index)
    if (open.length > 0) continue
    const same = Int32Array.from({ length: again.toolpath.count }, (_, i) => i)
    const before = { program, findings: [...program.findings, ...searchFindings(program, scene, figures)] }, after = { program: again, findings: [...again.findings, ...searchFindings(again, changed, now)] }
    const [worse] = [...worseFindings(before, after, new LineMap(program, again, [])), ...worseContact(search, figures, next, now, same)]
    if (worse !== undefined) return none(`with ${longer.toFixed(1)} mm the holder would be clear, but ${worse.why}`)
    return { tool: tool.number, from: tool.LPR, to: longer, sheet: sheetEdit(setup, tool, longer) }
  }
  return none('no stick-out settles')
}

/** What is found of a tool's holder in the stock, whether or not it was found before: with a stick-out that is to end such findings there must be none. */
export function holderInStock({ program: { toolpath }, findings }: Judged, { setup }: Scene, tool: number): Finding | undefined {
  const runsThere = (line: number) => toolpath.line.some((each, motion) => each === line && setup?.tools[toolpath.tool[motion] ?? NO_TOOL]?.number === tool)
  return findings.find(({ contact, level, waiver }) => contact?.component === 'holder' && contact.against === 'stock' && level !== 'note' && waiver === undefined && runsThere(contact.worstLine - 1))
}

function holderFaults(search: SearchInput, figures: ContactFigures): MotionFault[] {
  return motionFaults(search, figures).filter(({ component }) => component === 'holder')
}

/** How far the holder has to be raised for one place to be far enough: found in steps, then by halving. */
function raiseFor({ motion, time, point, keep }: MotionFault, { kinematics, toolpath, assemblies }: SearchInput): number {
  const assembly = assemblies[toolpath.tool[motion] ?? -1]
  if (assembly === undefined) return Infinity
  const pose = new MotionPose(kinematics, toolpath, assemblies.map(each => each?.gaugeLength ?? 0)), distance = new ComponentDistance(assembly)
  pose.begin(motion)
  pose.at(time)
  const { px, py, pz, ax, ay, az } = pose, [x, y, z] = point
  const isFar = (up: number) => distance.at('holder', x - px - up * ax, y - py - up * ay, z - pz - up * az, ax, ay, az) >= keep + margin
  let high = 0.25
  while (!isFar(high)) {
    high *= 2
    if (high > 2 * mostMore) return Infinity
  }
  let low = high / 2
  if (isFar(low)) low = 0
  for (let n = 0; n < 40; n++) {
    const middle = (low + high) / 2
    if (isFar(middle)) high = middle
    else low = middle
  }
  return high
}

/** The new value in the place of the sheet's own, in the sheet's unit. */
function sheetEdit(setup: Setup, { span }: Tool, longer: number): Reach['sheet'] {
  // A tool's span is that of its number; its place in the sheet's list can be another than among the tools that are simulated.
  const entry = Object.entries(setup.spans).find(([name, each]) => /^tools\.\d+\.number$/.test(name) && each.start === span.start)
  const place = entry === undefined ? undefined : setup.spans[entry[0].replace('number', 'LPR')]
  return place === undefined ? undefined : { path: setup.path, edit: { span: place, text: String(Number((longer / setup.unit).toFixed(4))) } }
}
