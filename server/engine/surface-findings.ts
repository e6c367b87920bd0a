import type { Finding } from '../../shared/finding.ts'
import type { Setup } from '../../shared/setup.ts'
import { heightEpsilon } from './geometry/tolerance.ts'
import { lineNames } from './line-names.ts'
import { toFindings, type LevelSettings } from './lint/level-findings.ts'
import { MotionOrigins } from './motion-origins.ts'
import type { Scene } from './open-scene.ts'
import type { ReadProgram } from './read-program.ts'
import { resultProblems } from './result/result-problems.ts'
import type { ResultInput, SurfaceResult } from './result/surface-result.ts'
import { searchInputOf } from './search-input.ts'

/**
 * What measuring the result needs of a program; undefined where the sheet cannot be used, and where it asks for no
 * result.
 */
export function resultInputOf(program: ReadProgram, scene: Scene): ResultInput | undefined {
  if (scene.setup === undefined || !asksForResult(scene.setup)) return undefined
  const input = searchInputOf(program, scene, heightEpsilon)
  return input === undefined ? undefined : { ...input, base: scene.setup.limits }
}

/** Whether a sheet asks what is left: by a limit for what may stand, its own or a pass's, or by the stock. */
export function asksForResult({ stock, spans, passes }: Setup): boolean {
  return stock !== undefined || spans['limits.leftover'] !== undefined || passes.some(({ limits }) => limits.leftover !== undefined)
}

/** The findings about what the program leaves of the part. */
export function resultFindings(program: ReadProgram, scene: Scene, result: SurfaceResult, levels: LevelSettings = {}): Finding[] {
  const input = resultInputOf(program, scene)
  if (input === undefined || scene.setup === undefined) return []
  const origins = new MotionOrigins(program.toolpath, program, program.called ?? new Map())
  return toFindings(resultProblems(input, scene.setup, result, lineNames(program, scene)).map(origins.tell), levels)
}
