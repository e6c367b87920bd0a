import { fileURLToPath } from 'node:url'
import { describe, expect, test } from 'vitest'
import { runToolwake } from '../harness/run-toolwake.ts'

// `toolwake prove-machine` as a process, held against rotations worked out by hand.

const folder = fileURLToPath(new URL('../../samples/machines', import.meta.url))
const prove = (...args: string[]) => runToolwake(['prove-machine', ...args], { folder })

describe('toolwake prove-machine', () => {
  test('a table that turns about Z: touches a quarter turn apart are the same place when they lie on one circle', async () => {
    // The table of this machine turns about the machine's Z through X0 Y0; C+90 moves the work clockwise (ISO 841), so that the place at X30 Y10 comes to X10 Y-30.
    const good = await prove('table-table-ac.machine.json', '--touch', 'X30 Y10 Z-100 C0', '--touch', 'X10 Y-30 Z-100 C90', '--touch', 'X-30 Y-10 Z-100 C180')
    expect(good.errors).toBe('')
    expect(good.output).toMatch(/They lie within 0\.0000 mm/)
    expect(good.code).toBe(0)
    const turned = await prove('table-table-ac.machine.json', '--touch', 'X30 Y10 Z-100 C0', '--touch', 'X-10 Y30 Z-100 C90')
    expect(turned.output).toContain('FILE AND MACHINE DIFFER: touches 1 and 2 lie 63.2456 mm apart')
    expect(turned.code).toBe(1)
    // Program zero has no part in that, and no values are shown that would need it.
    expect((await prove('table-table-ac.machine.json', '--at', 'X7 Y-8 Z-380', '--touch', 'X30 Y10 Z-100 C0', '--touch', 'X-10 Y30 Z-100 C90')).output).toContain('lie 63.2456 mm apart')
    expect(turned.output).toContain('they need the axis values of program zero, --at "X.. Y.. Z.."')
    expect(turned.output).not.toContain('leaned')
  })

  test('what is still needed is said: a second touch, and the length where the head turns', async () => {
    expect((await prove('table-table-ac.machine.json', '--touch', 'X30 Y10 Z-100')).output).toContain('One touch alone proves nothing')
    const head = await prove('fork-head-cb.machine.json', '--touch', 'X30', '--touch', 'X30 C90')
    expect(head.output).toContain('give it with --length. 0 mm was taken.')
    expect((await prove('fork-head-cb.machine.json', '--length', '120', '--touch', 'X30', '--touch', 'X30 C90')).output).not.toContain('give it with --length')
  })

  test('every way to hold the tool, with travel', async () => {
    const { output, code } = await prove('table-table-ac.machine.json', '--length', '100')
    expect(code).toBe(0)
    expect(output).toContain('To the work: base - A - C - work.')
    expect(output).toMatch(/leaned 30° toward -Y:\n(.* A-?30\.0000 C.*\n){2}/)
    expect(output).toContain('Nothing was measured')
    expect(output).toContain('Program zero was not given')
    expect(output).not.toContain('the tool point does not stay')
  })

  test('a call that cannot be carried out says why', async () => {
    expect(await prove('none.machine.json')).toMatchObject({ code: 2, output: '' })
    expect((await prove('table-table-ac.machine.json', '--touch', 'B10')).errors).toContain('"B10" names no axis of this machine; it has X, Y, Z, A, C.')
    expect((await prove('table-table-ac.machine.json', '--length', 'long')).errors).toContain('--length can be a number of mm')
  })
})
