import type { ResultProperties, Related } from '../../../shared/finding.ts'
import type { Problem } from '../../../shared/problem.ts'
import type { Setup } from '../../../shared/setup.ts'
import { MotionFlag, NO_TOOL, type Toolpath } from '../../../shared/toolpath.ts'
import type { LineNames } from '../contact/contact-problems.ts'
import { figure, mm, place } from '../contact/figure-words.ts'
import type { SearchInput } from '../contact/search-motions.ts'
import { heightReach } from '../geometry/tolerance.ts'
import type { PatchKind, ResultPatch, SurfaceResult } from './surface-result.ts'

const ruleOf: Readonly<Record<PatchKind, string>> = { leftover: 'leftover', scallop: 'scallop', unreached: 'undercut-unreached' }

export type ResultProblem = Problem & { readonly result: ResultProperties, readonly open?: boolean }

/** Words what is left: one problem a patch, at the block that came lowest there, or at the last cut where none came near. */
export function resultProblems(input: SearchInput, setup: Setup, result: SurfaceResult, lines: LineNames): ResultProblem[] {
  const last = lastCut(input.toolpath)
  const told = new Set<PatchKind>()
  return result.patches.map(patch => {
    const motion = patch.motion < 0 ? last : patch.motion
    const line = motion < 0 ? 0 : input.toolpath.line[motion]
    // What is not told singly is told with the first of its kind.
    const more = told.has(patch.kind) ? undefined : result.more.find(({ kind }) => kind === patch.kind)
    told.add(patch.kind)
    const besides = more === undefined ? '' : ` ${more.patches} more such places, ${surface(more.area)} in all, are not told singly.`
    return {
      rule: ruleOf[patch.kind],
      ...motion < 0 ? {} : { motion },
      span: lines.span(line),
      message: `${sentence(patch, setup, input)} ${whereabouts(patch, lines.name(line))}${besides}`,
      related: limitPlace(patch, input, setup),
      result: {
        point: patch.point, area: patch.area, allowed: patch.allowed,
        ...patch.tallest === undefined ? {} : { height: patch.tallest.value, bound: patch.tallest.bound },
        ...more === undefined ? {} : { besides: more.area },
      },
      ...patch.open ? { open: true } : {},
    }
  })
}

function sentence(patch: ResultPatch, setup: Setup, { limits }: SearchInput): string {
  const { kind, tallest, area, allowed, places } = patch
  if (kind === 'unreached') {
    const stands = tallest === undefined ? 'what stands there is not known, since no stock is stated' : `${height(patch)} of the stock stands there`
    return `No pass comes nearer than ${mm(heightReach)} to ${surface(area)} of the part; ${stands}.`
  }
  const { stockToLeave, leftover } = limits.sets[patch.limitSet]?.limits ?? setup.limits
  const limit = stockToLeave === 0 ? `${mm(leftover)} may stand` : `${mm(stockToLeave)} is to be left and ${mm(leftover)} more may stand`
  if (patch.open) return `Material may stand ${height(patch)} high over ${surface(area)} of the part after the last block. The limit, ${mm(allowed)}, lies inside the proven interval: this cannot be decided.`
  if (kind === 'scallop') {
    return `Ridges up to ${height(patch)} high are left between neighbouring passes, over ${surface(area)} in ${places === 1 ? 'one place' : `${places} places`}; ${limit}.`
  }
  const far = patch.unreached === 0 ? '' : patch.unreached > 0.99 * area ? ', which no pass comes near' : `, ${surface(patch.unreached)} of which no pass comes near`
  return `Material stands up to ${height(patch)} high over ${surface(area)} of the part after the last block${far}; ${limit}.`
}

function height({ tallest }: ResultPatch): string {
  return tallest === undefined ? '' : figure(tallest.value, tallest.bound)
}

function whereabouts({ kind, point, motion, tallest }: ResultPatch, block: string): string {
  if (motion < 0) return `${tallest === undefined ? 'In the middle of it' : 'Tallest'} at ${place(point)} on the mesh; the last cut is in ${block}.`
  return `Tallest at ${place(point)} on the mesh, where ${block} ${kind === 'scallop' ? 'passes' : 'comes'} lowest.`
}

/** Surface in words, with as many digits as mean something. */
export function surface(area: number): string {
  return area >= 100 ? `${Math.round(area)} mm²` : `${Number(area.toPrecision(2))} mm²`
}

function limitPlace({ limitSet }: ResultPatch, { limits }: SearchInput, setup: Setup): Related[] {
  const span = setup.spans[limits.sets[limitSet]?.origin['leftover'] ?? 'limits.leftover']
  return span === undefined ? [] : [{ file: setup.path, span, message: 'The limit is set here.' }]
}

/** The last feed motion, or -1. */
function lastCut({ count, flags, tool }: Toolpath): number {
  for (let i = count - 1; i >= 0; i--) if ((flags[i] & (MotionFlag.rapid | MotionFlag.unknownStart)) === 0 && tool[i] !== NO_TOOL) return i
  return -1
}
