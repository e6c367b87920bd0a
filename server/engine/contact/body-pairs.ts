import { frameOfJoint, isSameFrame, type LinkFrame, type MachineFrame } from '../../../shared/frame-motion.ts'
import type { Component } from '../../../shared/finding.ts'
import type { Kinematics } from '../../../shared/kinematics.ts'
import type { MachineBody } from '../../../shared/machine.ts'
import type { MeshTree } from '../mesh/mesh-tree.ts'
import type { ObstacleName } from './near-figure.ts'
import type { Obstacle } from './obstacle.ts'

/** Two things that move against each other, each by its mesh in its own frame. */
export interface BodyPair {
  /** The component of the tool or the index of the body that is taken as moving. */
  readonly who: Component | number
  readonly from: LinkFrame
  readonly moving: MeshTree
  readonly against: ObstacleName
  readonly to: MachineFrame
  readonly other: MeshTree
  /** The moving thing reaches up to this far out of its mesh, mm. */
  readonly slack: number
  /** The other one reaches this far beyond its mesh on every side, mm. */
  readonly grown: number
}

/** Whether a body rides on the head: it is then held against the part as the head. */
export function isOnHead(k: Kinematics, body: MachineBody): boolean {
  return frameOfJoint(k, body.on)?.on === 'head'
}

/**
 * The pairs in which machine bodies take part, the tool apart. Things on one link do not move against
 * each other. Bodies on neighbouring links of a chain are joined there, and touch by their making:
 * they are not held against each other.
 */
export function bodyPairs(k: Kinematics, bodies: readonly MachineBody[], part: MeshTree, obstacles: readonly Obstacle[]): BodyPair[] {
  const pairs: BodyPair[] = []
  const movers = obstacles.filter(obstacle => obstacle.kind === 'body')
  const onPart = [{ kind: 'part', index: 0, tree: part, grown: 0 } as const, ...obstacles.filter(({ kind }) => kind === 'fixture' || kind === 'stock')]
  movers.forEach(({ index, tree }, n) => {
    const from = frameOfJoint(k, bodies[index].on)
    if (from === undefined) return
    for (const { kind, index: at, tree: other, grown = 0 } of isSameFrame(k, from, 'part') ? [] : onPart) {
      pairs.push({ who: index, from, moving: tree, against: { kind, index: at }, to: 'part', other, slack: 0, grown })
    }
    for (const { index: at, tree: other } of movers.slice(n + 1)) {
      const to = frameOfJoint(k, bodies[at].on)
      if (to === undefined || (to.on === from.on && Math.abs(to.links - from.links) <= 1)) continue
      pairs.push({ who: index, from, moving: tree, against: { kind: 'body', index: at }, to, other, slack: 0, grown: 0 })
    }
  })
  return pairs
}

/** The pairs of one component of the tool with the bodies that do not ride with the spindle. */
export function toolPairs(k: Kinematics, bodies: readonly MachineBody[], who: Component, moving: MeshTree, slack: number, obstacles: readonly Obstacle[]): BodyPair[] {
  const from: LinkFrame = { on: 'head', links: k.head.length }
  return obstacles.flatMap(({ kind, index, tree: other }) => {
    const to = kind === 'body' ? frameOfJoint(k, bodies[index].on) : undefined
    return to === undefined || isSameFrame(k, from, to) ? [] : [{ who, from, moving, against: { kind, index }, to, other, slack, grown: 0 }]
  })
}
