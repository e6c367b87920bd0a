import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, expect, test } from 'vitest'
import { ResultPool } from '../../server/edge/result-pool.ts'
import { buildMeshTree } from '../../server/engine/mesh/mesh-tree.ts'
import { openScene, readProgram } from '../../server/engine/service.ts'
import { boreMesh, boreProgram, boreSheet } from '../bench/bore.ts'

const folder = mkdtempSync(join(tmpdir(), 'toolwake-cancelling-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

test('nobody waits for samples that are still made once the work is cancelled', async () => {
  // A thread that is at work for ever: only the cancellation can end the wait.
  const script = join(folder, 'busy.cjs')
  writeFileSync(script, 'setInterval(() => undefined, 1000)\n')
  const scene = openScene({ path: 'bore.setup.json', text: boreSheet.replace('"limits":{', '"limits":{"leftover":0.05,') }, undefined)
  const program = readProgram({ path: 'bore.nc', text: boreProgram(5) }, scene), { tree } = buildMeshTree(boreMesh(200), true)
  const pool = new ResultPool(1, { script })
  let asked = 0
  const cancellation = { cancelled: () => ++asked > 3 }
  expect(await pool.measure(program, scene, tree, { cancellation })).toBeUndefined()
  expect(asked).toBe(4)
  await pool.dispose()
})
