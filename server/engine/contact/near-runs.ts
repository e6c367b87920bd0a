import type { Setup } from '../../../shared/setup.ts'
import { MotionFlag } from '../../../shared/toolpath.ts'
import { isOnHead } from './body-pairs.ts'
import { judgeBody } from './body-verdict.ts'
import { inOrder, type NearFigure, type ObstacleName } from './near-figure.ts'
import { judgeObstacle, wantedFrom } from './obstacle.ts'
import { RunGatherer, type ContactRun, type Verdict } from './run-gatherer.ts'
import type { SearchInput } from './search-motions.ts'
import { judgeStock } from './stock-verdict.ts'

/** A run against something other than the part, or of something other than the tool. */
export interface NearRun extends ContactRun {
  readonly who: NearFigure['who']
  readonly obstacle: ObstacleName
}

/** Gathers the figures against fixtures and barriers and those of machine bodies into runs, each pair by itself. */
export function nearRuns(input: SearchInput, setup: Setup, figures: readonly NearFigure[], lengthOf: (motion: number) => number): NearRun[] {
  const gatherers = new Map<string, { readonly runs: RunGatherer, readonly who: NearFigure['who'], readonly obstacle: ObstacleName }>()
  for (const figure of inOrder(figures)) {
    const { motion, who, against, value, certified, time, point } = figure
    const verdict = judge(figure, input)
    if (verdict === undefined) continue
    const key = `${who} ${against.kind} ${against.index}`
    const known = gatherers.get(key) ?? { runs: new RunGatherer(input.toolpath, lengthOf), who, obstacle: against }
    gatherers.set(key, known)
    const component = typeof who === 'number' ? input.bodies?.[who].name ?? '' : who
    known.runs.add({ component, against: nameOf(against, setup, input), tool: input.toolpath.tool[motion] }, { motion, verdict, value, certified, time, point })
  }
  return [...gatherers.values()].flatMap(({ runs, who, obstacle }) => runs.finish().map(run => ({ ...run, who, obstacle })))
}

function judge(figure: NearFigure, { kinematics, limits, toolpath, assemblies, fixtures = [], bodies = [] }: SearchInput): Verdict | undefined {
  const { motion, who, against, certified, value } = figure
  const inForce = limits.sets[limits.ofMotion[motion]]
  if (typeof who === 'number' || against.kind === 'body') {
    const onHead = typeof who === 'number' && isOnHead(kinematics, bodies[who])
    return judgeBody({ who, onHead }, against, inForce.limits, certified, value)
  }
  if (against.kind === 'stock') {
    const assembly = assemblies[toolpath.tool[motion]]
    return assembly === undefined ? undefined : judgeStock(figure, (toolpath.flags[motion] & MotionFlag.rapid) !== 0, assembly)
  }
  const wanted = wantedFrom(against, who, fixtures, inForce)
  return wanted === undefined ? undefined : judgeObstacle(against, wanted, certified, value)
}

/** As findings name it: `fixture:vice jaw`. */
export function nameOf({ kind, index }: ObstacleName, setup: Setup, { bodies = [] }: Pick<SearchInput, 'bodies'>): string {
  switch (kind) {
    case 'fixture': return `fixture:${setup.fixtures[index].name}`
    case 'barrier': return `barrier:${setup.barriers[index].name}`
    case 'body': return `machine:${bodies[index].name}`
    case 'part':
    case 'stock': return kind
    default: return kind satisfies never
  }
}

/** As sentences name it: `the fixture "vice jaw"`. */
export function phraseOf(name: ObstacleName, setup: Setup, input: Pick<SearchInput, 'bodies'>): string {
  const { kind } = name
  if (kind === 'part') return 'the part'
  if (kind === 'stock') return 'the stock'
  const called = nameOf(name, setup, input)
  return `the ${kind === 'body' ? 'machine\'s' : kind} "${called.slice(called.indexOf(':') + 1)}"`
}
