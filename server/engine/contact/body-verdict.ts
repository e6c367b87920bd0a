import type { Component } from '../../../shared/finding.ts'
import type { Limits } from '../../../shared/setup.ts'
import { bodyTouch } from '../geometry/tolerance.ts'
import type { ObstacleName } from './near-figure.ts'
import type { Verdict } from './run-gatherer.ts'

/** Who takes part: a component of the tool or a body's index, and whether that body rides on the head. */
export interface BodyParty { readonly who: Component | number, readonly onHead: boolean }

/** The distance that must be kept, mm. The head keeps its clearance from the part; everything else must not touch. */
export function wantedOfBody({ who, onHead }: BodyParty, against: ObstacleName, limits: Limits): number {
  return typeof who === 'number' && onHead && against.kind === 'part' ? Math.max(bodyTouch, limits.clearance.head) : bodyTouch
}

/** The verdict on the distance of a machine body, [certified, value] being the proven interval. */
export function judgeBody(party: BodyParty, against: ObstacleName, limits: Limits, certified: number, value: number): Verdict | undefined {
  const isHead = typeof party.who === 'number' && party.onHead && (against.kind === 'part' || against.kind === 'stock')
  if (certified < bodyTouch) return { rule: isHead ? 'head-contact' : 'machine-contact', wanted: bodyTouch, open: value >= bodyTouch }
  const wanted = wantedOfBody(party, against, limits)
  return certified < wanted ? { rule: 'head-clearance', wanted, limit: 'clearance.head', open: value >= wanted } : undefined
}
