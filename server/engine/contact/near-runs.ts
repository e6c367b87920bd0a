import type { Toolpath } from '../../../shared/toolpath.ts'
import type { Setup } from '../../../shared/setup.ts'
import type { LimitTable } from './effective-limits.ts'
import { inOrder, type NearFigure, type ObstacleName } from './near-figure.ts'
import { judgeObstacle, wantedFrom } from './obstacle.ts'
import { RunGatherer, type ContactRun } from './run-gatherer.ts'

/** A run against something other than the part. */
export interface NearRun extends ContactRun {
  readonly obstacle: ObstacleName
}

/** Gathers the figures against fixtures and barriers into runs, each obstacle by itself. */
export function nearRuns(toolpath: Toolpath, limits: LimitTable, setup: Setup, figures: readonly NearFigure[], lengthOf: (motion: number) => number): NearRun[] {
  const gatherers = new Map<string, { readonly runs: RunGatherer, readonly obstacle: ObstacleName }>()
  for (const { motion, who, against, value, certified, time, point } of inOrder(figures)) {
    if (typeof who === 'number') continue
    const wanted = wantedFrom(against, who, setup.fixtures, limits.sets[limits.ofMotion[motion]])
    const verdict = wanted === undefined ? undefined : judgeObstacle(against, wanted, certified, value)
    if (verdict === undefined) continue
    const key = `${against.kind} ${against.index}`
    const known = gatherers.get(key) ?? { runs: new RunGatherer(toolpath, lengthOf), obstacle: against }
    gatherers.set(key, known)
    known.runs.add({ component: who, against: nameOf(against, setup), tool: toolpath.tool[motion] }, { motion, verdict, value, certified, time, point })
  }
  return [...gatherers.values()].flatMap(({ runs, obstacle }) => runs.finish().map(run => ({ ...run, obstacle })))
}

/** As findings name it: `fixture:vice jaw`. */
export function nameOf({ kind, index }: ObstacleName, setup: Setup): string {
  if (kind === 'fixture') return `fixture:${setup.fixtures[index].name}`
  return kind === 'barrier' ? `barrier:${setup.barriers[index].name}` : kind
}
