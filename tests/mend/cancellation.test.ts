import { describe, expect, test } from 'vitest'
import { mendProgram } from '../../server/engine/mend-program.ts'
import { mendReport } from '../../server/engine/service.ts'
import { head, Job, sheetOfMesh } from './job.ts'

// A mend that nobody waits for any more: counted in looks at the cancellation, which does not hang on how busy the machine is. Each search looks at least
// every 1,024 cells (`tests/contact/cancellation.test.ts`); what is bounded here is what still happens once a look has said that it is off.

const blocks = Array.from({ length: 40 }, (_, i) => `N${100 + i} X${-20 + i} Z${i % 3 === 0 ? '-0.050' : '0.000'}`).join('\n')
const job = new Job({
  program: `${head('X-21. Y0. Z8. A0. C0.')}N80 G1 Z0.000 F500.\n${blocks}\nN900 G0 Z50.\nN910 M30\n%\n`,
  tool: { cutter: { shape: 'ball', DC: 6, LCF: 10 }, LPR: 40, holder: [{ diameter: 8, length: 20 }] },
  limits: { gouge: 0.01, clearance: { rapid: 1 } }, mesh: sheetOfMesh([0, 0, 0], [60, 0, 0], [0, 60, 0]),
})
const { program, scene, mesh, obstacles, figures } = job

/** Mends, and is called off at the look of that number; how often was looked in all. */
function lookedWhen(off: number) {
  let looks = 0
  const answer = mendProgram({ program, scene, mesh, obstacles, figures, cancellation: { cancelled: () => ++looks >= off } })
  return { answer, looks }
}

const whole = lookedWhen(Infinity)

/** Where a mend still unwinds: each loop that is open looks once more for itself. */
const mostLooksAfter = 12

describe('a mend that is called off', () => {
  test('looks often while it works', () => {
    expect(whole.answer.mended.length).toBeGreaterThan(0)
    expect(whole.looks).toBeGreaterThan(100)
  })

  test('ends at once, with nothing changed, wherever it is', () => {
    const step = Math.max(1, Math.floor(whole.looks / 60))
    for (let off = 1; off <= whole.looks; off += step) {
      const { answer, looks } = lookedWhen(off)
      expect(answer.complete, `called off at look ${off} of ${whole.looks}`).toBe(false)
      expect(answer.text).toBe(program.text)
      expect(answer.mended).toEqual([])
      expect(looks - off, `looks after look ${off} of ${whole.looks}`).toBeLessThanOrEqual(mostLooksAfter)
    }
  })

  test('has nothing to report', () => {
    let looks = 0
    expect(mendReport({ program, scene, mesh, obstacles, figures, cancellation: { cancelled: () => ++looks > 40 } })).toBeUndefined()
  })
})
