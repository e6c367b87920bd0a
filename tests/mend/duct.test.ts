import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, test } from 'vitest'
import { makeStl } from '../../samples/duct/make-stl.ts'
import { faults } from '../../samples/duct/faults.ts'
import { neverCancelled } from '../../shared/cancellation.ts'
import { newToolPose, toolPose } from '../../shared/kinematics.ts'
import { gaugeLength } from '../../shared/tool-length.ts'
import { mendProgram } from '../../server/engine/mend-program.ts'
import { defaultEpsilon, openMesh, openScene, readProgram, SceneSearcher, searchInputOf, type ReadProgram } from '../../server/engine/service.ts'

// The duct with its six known faults: the three of contact are mended, and the tool is where the clean program has it, as far as the
// limits ask for that.

const samples = join(import.meta.dirname, '..', '..', 'samples', 'duct')
const text = (name: string) => readFileSync(join(samples, name), 'utf8')
const machine = { path: 'duct.machine.json', text: text('duct.machine.json') }
const bytes = makeStl()

function mendDuct(gouge: number) {
  const sheet = text('duct.setup.json').replace('"gouge": 0.01', `"gouge": ${gouge}`)
  const scene = openScene({ path: 'duct.setup.json', text: sheet }, machine), read = (name: string) => readProgram({ path: name, text: text(name) }, scene)
  const { mesh } = openMesh({ path: 'duct.stl', bytes }, scene), program = read('throat-edited.nc'), search = searchInputOf(program, scene, defaultEpsilon)
  if (mesh === undefined || search === undefined) throw new Error('nothing to search')
  // The blocks round the edits are enough: nothing else is at fault.
  const figures = new SceneSearcher(search, { part: mesh, obstacles: [] }, neverCancelled).searchRun(0, program.toolpath.count)
  const answer = mendProgram({ program, scene, mesh, obstacles: [], figures, cancellation: neverCancelled })
  return { answer, clean: read('throat.nc'), length: gaugeLength(scene.setup?.tools[0] ?? (() => { throw new Error('no tool') })()) }
}

/** Largest distance between tool points at the ends of the motions of two programs, mm. */
function deviation(a: ReadProgram, b: ReadProgram, length: number): number {
  expect(a.toolpath.count).toBe(b.toolpath.count)
  const width = a.toolpath.axes.length, one = newToolPose(), other = newToolPose()
  let most = 0
  for (let i = 0; i <= a.toolpath.count; i++) {
    toolPose(a.kinematics, a.toolpath.joints.subarray(i * width, (i + 1) * width), length, one)
    toolPose(b.kinematics, b.toolpath.joints.subarray(i * width, (i + 1) * width), length, other)
    most = Math.max(most, Math.hypot(...one.point.map((value, k) => value - other.point[k])))
  }
  return most
}

test('contact is mended by one lean or lift each; a lean leaves the tool point where it was', () => {
  const { answer, clean, length } = mendDuct(0.01)
  expect(answer.refused).toEqual([])
  expect(answer.mended.map(({ attempt, changes }) => [attempt.steps.map(({ step }) => step.by).join(), changes.map(({ sequence }) => sequence)])).toEqual([
    ['lean', [10690]], ['lean', [17000]], ['lift', [23780]],
  ])
  for (const { block, rule } of faults) {
    // What is no matter of the path stays as it was typed.
    if (['missing-feed', 'rotary-swing', 'missing-decimal-point'].includes(rule)) expect(answer.text).toContain(text('throat-edited.nc').split('\n').find(line => line.startsWith(`${block} `)) ?? '?')
  }
  // 0.01 mm may be cut too deep and the clean program cuts nearly nothing: the least lift ends that much short of it.
  expect(deviation(answer.after?.program ?? clean, clean, length)).toBeLessThan(0.013)
})

test('where the limit is what the clean program cuts at most, the tool point comes within 0.01 mm of the clean one', () => {
  // The clean program cuts at most 0.006 mm deep (samples/duct/README.md).
  const { answer, clean, length } = mendDuct(0.006)
  expect(answer.mended.at(-1)?.attempt.steps.map(({ step }) => step.by)).toEqual(['lift'])
  expect(deviation(answer.after?.program ?? clean, clean, length)).toBeLessThan(0.01)
})
