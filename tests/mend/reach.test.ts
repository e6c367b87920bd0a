import { expect, test } from 'vitest'
import { neverCancelled } from '../../shared/cancellation.ts'
import { mendReport } from '../../server/engine/service.ts'
import { head, Job, joinMeshes, sheetOfMesh } from './job.ts'

// A collar round a deep hole: the holder's face comes down on it however the tool leans, so only a longer stick-out helps.

// The tip cuts a face at 2: to lift it would leave the cut undone.
const collar = joinMeshes(sheetOfMesh([0, 0, 2], [3, 0, 0], [0, 3, 0]), ...[[0, 8], [0, -8], [8, 0], [-8, 0]].map(([x, y]) => sheetOfMesh([x, y, 22], x === 0 ? [3, 0, 0] : [0, 3, 0], x === 0 ? [0, 3, 0] : [-3, 0, 0])))
const wish = {
  program: `${head('X0. Y0. Z60. A0. C0.')}N80 G1 Z2. F500.\nN90 X0.5\nN100 G0 Z60.\nN110 M30\n%\n`,
  tool: { cutter: { shape: 'ball', DC: 4, LCF: 6 }, shank: { DCONMS: 4 }, LPR: 18, holder: [{ diameter: 20, length: 30 }], point: 'tip' },
  limits: { gouge: 0.01, clearance: { neck: 0.1, shank: 0.1, holder: 1, rapid: 1 } },
  mesh: collar,
} as const

test('the least stick-out is the height of the collar over the tip, and the clearance', () => {
  const job = new Job({ ...wish, passes: [] })
  const { program, scene, mesh, obstacles, figures } = job
  const report = mendReport({ program, scene, mesh, obstacles, figures, cancellation: neverCancelled })
  expect(report?.refused.flatMap(({ why }) => why).join()).toMatch(/would stay standing where the cutter cuts now/)
  // The holder's face stands LPR over the tip, the tip goes down to 2, the collar lies at 22: LPR = 22 − 2 + 1, to the next tenth.
  const [reach] = report?.reach ?? []
  expect(report?.reach).toHaveLength(1)
  expect(reach).toMatchObject({ tool: 1, from: 18 })
  expect(reach.to).toBeGreaterThanOrEqual(21)
  expect(reach.to).toBeLessThanOrEqual(21.1 + 1e-9)
  // What it makes of the sheet ends the finding; a tenth of it less does not.
  const holder = (LPR: number) => new Job({ ...wish, tool: { ...wish.tool, LPR } }).findings(wish.program).filter(({ rule }) => rule.startsWith('holder') || rule.startsWith('rapid'))
  expect(holder(reach.to ?? 0)).toEqual([])
  expect(holder(18 + 0.9 * ((reach.to ?? 0) - 18)).length).toBeGreaterThan(0)
  expect(reach.sheet).toMatchObject({ path: 'job.setup.json', edit: { text: String(Number(reach.to?.toFixed(4))) } })
})
