import { buildAssembly } from './contact/assembly.ts'
import { effectiveLimits } from './contact/effective-limits.ts'
import type { SearchInput } from './contact/search-motions.ts'
import type { Scene } from './open-scene.ts'
import type { ReadProgram } from './read-program.ts'

type SearchedProgram = Omit<SearchInput, 'epsilon'>

const made = new WeakMap<ReadProgram, { readonly scene: Scene, readonly searched: SearchedProgram }>()

/** All that the contact search needs of a program; undefined where the sheet cannot be used. Worked out once for a program and its scene: findings are worded anew with every piece of a search. */
export function searchInputOf(program: ReadProgram, scene: Scene, epsilon: number): SearchInput | undefined {
  const known = made.get(program)
  if (known?.scene === scene) return { ...known.searched, epsilon }
  const searched = prepare(program, scene)
  if (searched === undefined) return undefined
  made.set(program, { scene, searched })
  return { ...searched, epsilon }
}

function prepare(program: ReadProgram, scene: Scene): SearchedProgram | undefined {
  const { setup, usable } = scene
  if (setup === undefined || !usable) return undefined
  return {
    kinematics: program.kinematics,
    toolpath: program.toolpath,
    assemblies: setup.tools.map(tool => buildAssembly(tool)),
    limits: effectiveLimits(setup, program.toolpath, program.passLines),
    fixtures: setup.fixtures,
    bodies: scene.machine.bodies,
  }
}
