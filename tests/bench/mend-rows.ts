import { neverCancelled } from '../../shared/cancellation.ts'
import { defaultEpsilon, mendReport, MotionSearcher, openScene, readProgram, searchInputOf, type ContactFigures, type PartMesh } from '../../server/engine/service.ts'
import { motionFaults } from '../../server/engine/contact/motion-faults.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { boreProgram, boreSheet } from './bore.ts'
import { ratesOf, secondsFor } from './measure.ts'
import type { Row } from './report.ts'

const seed = 2028

/** A fifth of the blocks of the bore cut too deep: all are mended and the outcome proven, beside the search of all blocks. */
export async function mendRows(blocks: number, mesh: PartMesh, runs: number): Promise<Row[]> {
  const scene = openScene({ path: 'bore.setup.json', text: boreSheet }, undefined)
  const program = readProgram({ path: 'bore.nc', text: spoilt(boreProgram(blocks)) }, scene), input = searchInputOf(program, scene, defaultEpsilon)
  if (input === undefined) throw new Error('the scene cannot be searched')
  const search = (): ContactFigures => new MotionSearcher(input, mesh, neverCancelled).searchRun(0, input.toolpath.count)
  const figures = search(), faulty = new Set(motionFaults(input, figures).map(({ motion }) => motion)).size
  const mend = () => {
    const report = mendReport({ program, scene, mesh, obstacles: [], figures, cancellation: neverCancelled })
    if (report === undefined || report.mended.length === 0 || report.refused.length > report.mended.length) throw new Error('little or nothing was mended')
  }
  const { ours, peer } = await ratesOf(runs, { units: faulty / 1000, work: mend }, { units: 1, work: search })
  return [{ name: `1,000 faulty blocks mended and proven (${faulty} of ${blocks})`, unit: 's', better: 'lower', ...secondsFor(ours), peer: { name: 'search of all blocks', value: secondsFor(peer).median } }]
}

/** Blocks all over the program moved away from the middle of the bore by up to 0.2 mm. */
export function spoilt(text: string): string {
  const random = new SeededRandom(seed)
  return text.replaceAll(/^(N\d+) X(\S+) Y(\S+)/gm, (whole, name: string, x: string, y: string) => {
    if (random.between(0, 1) > 0.12) return whole
    const away = random.between(0.03, 0.2), radius = Math.hypot(Number(x), Number(y)), scale = (radius + away) / radius
    return `${name} X${(Number(x) * scale).toFixed(4)} Y${(Number(y) * scale).toFixed(4)}`
  })
}
