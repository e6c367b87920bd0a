import type { Component } from '../../../shared/finding.ts'
import type { Fixture } from '../../../shared/setup.ts'
import type { MeshTree } from '../mesh/mesh-tree.ts'
import type { EffectiveLimits } from './effective-limits.ts'
import type { ObstacleName } from './near-figure.ts'
import type { Verdict } from './run-gatherer.ts'

/**
 * What can be touched besides the part, as the search sees it: its triangles in the part frame, those of a machine body in the
 * machine frame with every joint at zero. Plain data, may be cloned into a worker.
 */
export interface Obstacle extends ObstacleName {
  readonly kind: 'fixture' | 'barrier' | 'stock' | 'body'
  readonly tree: MeshTree
  /** mm. It reaches this far beyond its triangles on every side; absent: not at all. */
  readonly grown?: number
}

/** The distance a component must keep from it, mm; negative: a depth that is allowed; undefined where it does not count. */
export function wantedFrom({ kind, index }: ObstacleName, component: Component, fixtures: readonly Fixture[], { limits, barriers }: EffectiveLimits): number | undefined {
  if (kind === 'fixture') return fixtures[index]?.clearance
  // The tool point lies on the cutter or in it: it cannot pass a surface unless the cutter goes in.
  return component === 'cutter' && barriers?.includes(index) === true ? -limits.gouge : undefined
}

/** The verdict on a figure against a fixture or a barrier, [certified, value] being the proven interval. */
export function judgeObstacle({ kind }: ObstacleName, wanted: number, certified: number, value: number): Verdict | undefined {
  if (kind === 'barrier') return certified < wanted ? { rule: 'barrier-crossed', wanted, limit: 'gouge', open: value >= wanted } : undefined
  if (certified < 0) return { rule: 'fixture-contact', wanted: 0, open: value >= 0 }
  return certified < wanted ? { rule: 'fixture-clearance', wanted, open: value >= wanted } : undefined
}
