import type { Limits, Setup } from '../../../shared/setup.ts'
import { NO_TOOL, type Toolpath } from '../../../shared/toolpath.ts'

/** Lines [from, to] of the program a pass of the sheet covers; an end the program does not have is undefined. */
export interface PassLines { readonly from: number, readonly to: number }

/** The limits in force motion by motion: few sets, many motions. */
export interface LimitTable {
  readonly sets: readonly EffectiveLimits[]
  /** Index into `sets` for every motion. */
  readonly ofMotion: Uint16Array
}

export interface EffectiveLimits {
  readonly limits: Limits
  /** Barriers that hold, by their place in the sheet's list. */
  readonly barriers?: readonly number[]
  /** Dotted name in the sheet of the place that set the limit, by its short name: `gouge`, `clearance.holder`, `axisThrough`. */
  readonly origin: Readonly<Record<string, string>>
}

/**
 * Lays the sheet's passes over its limits; later entries win. `passLines` are the lines of each
 * pass, in the order of `setup.passes`.
 */
export function effectiveLimits(setup: Setup, toolpath: Toolpath, passLines: readonly PassLines[]): LimitTable {
  const ofMotion = new Uint16Array(toolpath.count)
  const sets: EffectiveLimits[] = []
  const known = new Map<string, number>()
  let lastKey = '', lastSet = -1
  for (let i = 0; i < toolpath.count; i++) {
    const line = toolpath.line[i]
    const number = toolpath.tool[i] === NO_TOOL ? undefined : setup.tools[toolpath.tool[i]]?.number
    let key = ''
    for (let p = 0; p < setup.passes.length; p++) {
      if (holdsIn(setup.passes[p], passLines[p], line, number)) key += `${p},`
    }
    if (lastSet < 0 || key !== lastKey) {
      lastKey = key
      lastSet = known.get(key) ?? sets.push(combine(setup, key)) - 1
      known.set(key, lastSet)
    }
    ofMotion[i] = lastSet
  }
  return { sets, ofMotion }
}

/** Whether a pass holds for a line and the tool with that number. */
export function holdsIn(pass: Setup['passes'][number], lines: PassLines, line: number, tool: number | undefined): boolean {
  return (pass.tools === undefined || (tool !== undefined && pass.tools.includes(tool))) && line >= lines.from && line <= lines.to
}

/**
 * A barrier that no pass names holds everywhere; one that is named holds in the passes that name it
 * and nowhere else.
 */
function barriersIn(setup: Setup, passes: readonly number[]): number[] {
  const names = (pass: Setup['passes'][number], name: string) => pass.barriers?.includes(name) === true
  return setup.barriers.flatMap(({ name }, i) => {
    const holds = passes.some(p => names(setup.passes[p], name)) || !setup.passes.some(pass => names(pass, name))
    return holds ? [i] : []
  })
}

function combine(setup: Setup, key: string): EffectiveLimits {
  let limits = setup.limits
  const origin: Record<string, string> = {}
  const passes = key.split(',').filter(text => text !== '').map(Number)
  for (const p of passes) {
    const { limits: { clearance, ...rest }, axisThrough } = setup.passes[p]
    for (const name of Object.keys(rest)) origin[name] = `passes.${p}.limits.${name}`
    if (axisThrough !== undefined) origin.axisThrough = `passes.${p}.axisThrough`
    for (const name of Object.keys(clearance ?? {})) origin[`clearance.${name}`] = `passes.${p}.limits.clearance.${name}`
    limits = { ...limits, ...rest, clearance: { ...limits.clearance, ...clearance } }
  }
  return { limits, barriers: barriersIn(setup, passes), origin }
}
