import { describe, expect, test } from 'vitest'
import { actionOf, actions, keyText } from '../../webview/actions.ts'
import type { ActionName } from '../../webview/actions.ts'
import { planeOf } from '../../webview/geometry/section-plane.ts'
import { nearestOnRay } from '../../webview/geometry/ray-mesh.ts'
import { advanced, EchoFilter, momentNearest, otherSpeed } from '../../webview/playback.ts'
import { clockText, figureLabel, measureText } from '../../webview/readout.ts'
import { Ray, Vector3 } from 'three'
import { SeededRandom } from '../harness/seeded-random.ts'
import { programOf } from './motion-samples.ts'

const table = programOf([0, 0, 0], [{ to: [10, 0, 0], seconds: 2 }, { to: [10, 5, 0], seconds: 0 }, { to: [20, 5, 0], seconds: 4 }])

describe('the clock', () => {
  test('goes on by its speed, over motions that take no time, to the end and no farther', () => {
    expect(advanced(table, { motion: 0, t: 0 }, 0.5, 2)).toEqual({ motion: 0, t: 0.5 })
    expect(advanced(table, { motion: 0, t: 1 }, 1, 1)).toEqual({ motion: 2, t: 0.25 })
    expect(advanced(table, { motion: 2, t: 0.9 }, 60, 1)).toEqual({ motion: 2, t: 1 })
    expect(advanced(table, { motion: 2, t: 1 }, 1, 1)).toBeUndefined()
  })

  test('has speeds from a tenth to four minutes a second', () => {
    expect([otherSpeed(1, 1), otherSpeed(1, -1), otherSpeed(240, 1), otherSpeed(0.1, -1)]).toEqual([4, 0.25, 240, 0.1])
  })

  test('reads as people write it', () => {
    expect([clockText(0), clockText(61.25), clockText(3599.96), clockText(7325.5)]).toEqual(['0:00.0', '1:01.3', '1:00:00.0', '2:02:05.5'])
  })
})

test('our own lines come back from the editor as echoes, once and soon', () => {
  const echoes = new EchoFilter()
  for (const line of [7, 8, 9]) echoes.told(line, 1000)
  expect([echoes.isEcho(7, 1400), echoes.isEcho(7, 1400), echoes.isEcho(6, 1400), echoes.isEcho(8, 1100), echoes.isEcho(9, 9000)]).toEqual([true, false, false, true, false])
})

test('the moment nearest to a place is looked for in all motions of a run', () => {
  expect(momentNearest({ first: 0, last: 2 }, ({ motion, t }) => Math.abs(motion + t - 2.5))).toEqual({ motion: 2, t: 0.5 })
})

describe('keys', () => {
  test('every action has one, and no two the same', () => {
    const keys = (Object.keys(actions) as ActionName[]).map(name => actions[name].key)
    expect(new Set(keys).size).toBe(keys.length)
    expect(keys.length).toBeGreaterThan(30)
    for (const name of Object.keys(actions) as ActionName[]) {
      const { key } = actions[name]
      const isShifted = key.startsWith('Shift+')
      expect(actionOf({ key: isShifted ? key.slice(6).toUpperCase() : key, shiftKey: isShifted || key === '?' })).toBe(name)
    }
  })

  test('are written as on the keyboard', () => {
    expect([keyText(' '), keyText('Shift+n'), keyText('PageUp'), keyText('f')]).toEqual(['Space', 'Shift+N', 'Page up', 'F'])
  })
})

describe('a cut', () => {
  test('goes through the tool point, shifted, and can be turned', () => {
    expect(planeOf({ plane: 'x', shift: 2, turned: false }, [5, 6, 7], [0, 0, 1], [1, 0, 0])).toEqual({ normal: [1, 0, 0], offset: 7 })
    expect(planeOf({ plane: 'z', shift: 2, turned: true }, [5, 6, 7], [0, 0, 1], [1, 0, 0])).toEqual({ normal: [-0, -0, -1], offset: -9 })
    expect(planeOf({ plane: 'off', shift: 0, turned: false }, [0, 0, 0], [0, 0, 1], [1, 0, 0])).toBeUndefined()
  })

  test('across the way holds the tool axis, along the tool holds both', () => {
    const axis = [0, 0.6, 0.8] as const, way = [3, 1, -1] as const
    const dot = (a: readonly number[], b: readonly number[]) => a.reduce((sum, one, k) => sum + one * b[k], 0)
    const across = planeOf({ plane: 'across', shift: 0, turned: false }, [0, 0, 0], axis, way)
    const along = planeOf({ plane: 'along', shift: 0, turned: false }, [0, 0, 0], axis, way)
    expect(dot(across?.normal ?? [], axis)).toBeCloseTo(0, 12)
    expect(dot(across?.normal ?? [], way)).toBeGreaterThan(0)
    expect(dot(along?.normal ?? [], axis)).toBeCloseTo(0, 12)
    expect(dot(along?.normal ?? [], way)).toBeCloseTo(0, 12)
    // A tool that sinks has no way to the side; the cut still holds its axis.
    expect(dot(planeOf({ plane: 'across', shift: 0, turned: false }, [0, 0, 0], axis, axis)?.normal ?? [], axis)).toBeCloseTo(0, 12)
  })
})

describe('a look on the mesh', () => {
  test.each([1, 2, 3])('meets the triangle that the library finds, seed %d', seed => {
    const random = new SeededRandom(seed)
    const corners = Float32Array.from({ length: 9 * 300 }, () => random.between(-5, 5))
    for (let i = 0; i < 60; i++) {
      const from = new Vector3(...random.direction()).multiplyScalar(20), to = new Vector3(random.between(-3, 3), random.between(-3, 3), random.between(-3, 3))
      const ray = new Ray(from, to.clone().sub(from).normalize())
      let best = Infinity
      const at = (k: number) => new Vector3(corners[k], corners[k + 1], corners[k + 2])
      for (let k = 0; k < corners.length; k += 9) {
        const met = ray.intersectTriangle(at(k), at(k + 3), at(k + 6), false, new Vector3())
        if (met !== null) best = Math.min(best, met.distanceTo(from))
      }
      const hit = nearestOnRay(corners, from.toArray(), ray.direction.toArray())
      expect(hit?.distance ?? Infinity).toBeCloseTo(best, 6)
    }
  })

  test('passes over what is cut away', () => {
    const corners = Float32Array.of(-1, -1, 0, 1, -1, 0, 0, 1, 0, -1, -1, 2, 1, -1, 2, 0, 1, 2)
    expect(nearestOnRay(corners, [0, 0, 9], [0, 0, -1])?.triangle).toBe(1)
    expect(nearestOnRay(corners, [0, 0, 9], [0, 0, -1], point => point[2] < 1)?.triangle).toBe(0)
    expect(nearestOnRay(corners, [5, 0, 9], [0, 0, -1])).toBeUndefined()
  })
})

test('figures beside marks, and measures, in words', () => {
  const figure = { component: 'cutter', against: 'part', depth: 0.031, bound: 0.001, allowed: 0.01, toolPoint: [0, 0, 0], toolAxis: [0, 0, 1] } as const
  expect(figureLabel(figure, 1)).toBe('Cutter 0.031 ± 0.001 mm deep')
  expect(figureLabel({ ...figure, depth: undefined, clearance: 2.54 }, 25.4)).toBe('Cutter 0.1000 ± 0.0001 in away')
  expect(figureLabel({ ...figure, depth: undefined }, 1)).toBeUndefined()
  expect(measureText([1, 2, 3], [4, 6, 3], 1)).toBe('5.000 mm   X 3.000  Y 4.000  Z 0.000')
})
