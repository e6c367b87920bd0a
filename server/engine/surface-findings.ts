import type { Finding } from '../../shared/finding.ts'
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
 * What measuring the result needs of a program; undefined where the sheet cannot be used. Heights are always
 * measured; whether what stands is a fault is asked where the sheet states a limit for it or the stock.
 */
export function resultInputOf(program: ReadProgram, scene: Scene): ResultInput | undefined {
  const input = searchInputOf(program, scene, heightEpsilon)
  if (input === undefined || scene.setup === undefined) return undefined
  const { setup } = scene
  const asked = setup.stock !== undefined || setup.spans['limits.leftover'] !== undefined || setup.passes.some(pass => pass.limits.leftover !== undefined)
  return { ...input, base: setup.limits, asked }
}

/** The findings about what the program leaves of the part. */
export function resultFindings(program: ReadProgram, scene: Scene, result: SurfaceResult, levels: LevelSettings = {}): Finding[] {
  const input = resultInputOf(program, scene)
  if (input === undefined || scene.setup === undefined) return []
  const origins = new MotionOrigins(program.toolpath, program, program.called ?? new Map())
  return toFindings(resultProblems(input, scene.setup, result, lineNames(program, scene)).map(origins.tell), levels)
}
