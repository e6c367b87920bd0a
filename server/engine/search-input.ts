import { buildAssembly } from './contact/assembly.ts'
import { effectiveLimits } from './contact/effective-limits.ts'
import type { SearchInput } from './contact/search-motions.ts'
import type { Scene } from './open-scene.ts'
import type { ReadProgram } from './read-program.ts'

/** All that the contact search needs of a program; undefined where the sheet cannot be used. Made once for each program. */
export function searchInputOf(program: ReadProgram, scene: Scene, epsilon: number): SearchInput | undefined {
  const { setup, usable } = scene
  if (setup === undefined || !usable) return undefined
  return {
    kinematics: program.kinematics,
    toolpath: program.toolpath,
    assemblies: setup.tools.map(buildAssembly),
    limits: effectiveLimits(setup, program.toolpath, program.passLines),
    fixtures: setup.fixtures,
    bodies: scene.machine.bodies,
    epsilon,
  }
}
