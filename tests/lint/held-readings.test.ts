import { setFlagsFromString } from 'node:v8'
import { runInNewContext } from 'node:vm'
import { expect, test } from 'vitest'
import { openScene, readProgram, type ReadProgram } from '../../server/engine/service.ts'
import { boreProgram, boreSheet } from '../bench/bore.ts'

// An edit's reading takes over what it can from the one before. It must not hold on to it: a session of edits
// would keep every text it ever had, some 100 bytes a block for each letter typed.

setFlagsFromString('--expose-gc')
const collect = runInNewContext('gc') as () => void

test('a reading that went on from another one does not keep it', async () => {
  const scene = openScene({ path: 'bore.setup.json', text: boreSheet }, undefined), blocks = 2_000
  const lines = boreProgram(blocks).split('\n'), held: WeakRef<ReadProgram['toolpath']>[] = []
  let program = readProgram({ path: 'bore.nc', text: lines.join('\n') }, scene)
  for (let edit = 0; edit < 5; edit++) {
    held.push(new WeakRef(program.toolpath))
    lines[1_000] = `${lines[1_000]} (${edit})`
    program = readProgram({ path: 'bore.nc', text: lines.join('\n') }, scene, { earlier: program })
  }
  // What a weak reference has shown lives to the end of the turn.
  await new Promise(resolve => setImmediate(resolve))
  collect()
  expect(held.map(each => each.deref()?.count)).toEqual(held.map(() => undefined))
  expect(program.toolpath.count).toBeGreaterThan(blocks)
})
