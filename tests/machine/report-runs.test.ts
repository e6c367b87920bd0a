import { describe, expect, test } from 'vitest'
import { arcOf, run, testTool } from './run-program.ts'

// Runs that NISTIR 6556 prints, as far as their text and numbers are known.

describe('NISTIR 6556 table 10', () => {
  test('a line and an arc by radius whose end is an expression', () => {
    const result = run('g1 x3 y1 f20.0\ng2 x[6-[4*3/2]] r 7.01 z0.5')
    expect(result.told).toEqual([])
    expect([...result.toolpath.joints.slice(5, 8)]).toEqual([3, 1, 0])
    expect([...result.toolpath.joints.slice(10, 13)]).toEqual([0, 1, 0.5])
    const arc = arcOf(result, 1)
    expect(arc.centre[0]).toBeCloseTo(1.5, 4)
    expect(arc.centre[1]).toBeCloseTo(7.8476, 4)
    expect(arc.sweep * 180 / Math.PI).toBeCloseTo(24.7114, 4)
  })
  test('a tool, its length, and Z as it then reads', () => {
    const result = run('t2\nm6 g43 h2', { setup: { tools: [testTool(2, 1)] } })
    expect(result.final).toMatchObject({ selectedTool: 2, tool: 2, lengthOffset: 2, position: { Z: -1 } })
  })
  test('m2 at the end', () => {
    expect(run('g92 x5\nm3\nm2').final).toMatchObject({ ended: true, spindle: 'stopped', setPosition: undefined })
  })
  test('an unknown word, then the right one', () => {
    expect(run('g1 x asim[0.5] f20').told).toEqual(['malformed-word "x asim[0.5]"'])
    expect(run('g1 x asin[0.5] f20').final.joints[0]).toBeCloseTo(30, 9)
  })
})

test('NISTIR 6556 3.3: spaces mean nothing', () => {
  expect(run('g0x +0. 12 34y 7').motions).toEqual(run('g0 x+0.1234 y7').motions)
})

test('NISTIR 6556 3.3.6: five items in any order are one program', () => {
  const items = ['g1', 'x[#1+1]', 'y2', 'f60', '#1=9']
  const orders = (left: readonly string[]): string[][] => left.length === 0 ? [[]] : left.flatMap((item, i) => orders([...left.slice(0, i), ...left.slice(i + 1)]).map(rest => [item, ...rest]))
  const all = orders(items)
  expect(all.length).toBe(120)
  const seen = new Set(all.map(order => run(`#1=4\n${order.join(' ')}\nz#1`).motions.join('; ')))
  expect([...seen]).toEqual(['2 joints X5 Y2 5.38516s; 3 joints Z9 9s'])
})
