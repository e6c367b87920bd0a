import { describe, expect, test } from 'vitest'
import { buildKinematics } from '../../shared/kinematics.ts'
import { MotionPose } from '../../shared/motion-pose.ts'
import { gaugeLength } from '../../shared/tool-length.ts'
import { MotionFlag } from '../../shared/toolpath.ts'
import type { Control } from '../../shared/machine.ts'
import type { Problem } from '../../shared/problem.ts'
import { interpret } from '../../server/engine/machine/interpreter.ts'
import { testSetup, testTool } from '../machine/run-program.ts'
import { families, loadFamily, type Family } from './families.ts'
import { aboutX, aboutZ, times, translation, type Matrix } from './homogeneous.ts'

// What a program does in the level, it does in a tilted plane too: cycles, radius compensation, arcs and incremental
// words run the same way, carried over by the plane's matrix (homogeneous.ts, which shares nothing with the engine).
// What shifts program zero is taken when it comes before the plane, and is followed inside where the machine file says how.

const degree = Math.PI / 180
const tool = testTool(1, 60, { cutter: { shape: 'flat', DC: 8, LCF: 20 }, holder: [{ diameter: 40, topDiameter: 40, length: 25 }] })
const zero = [12, -7, 4] as const, angles = [20, 34, -15] as const
const words = (letters: string, values: readonly number[]) => values.map((value, n) => `${letters[n]}${value}`).join(' ')
const plane: Matrix = times(times(times(translation(...zero), aboutZ(angles[0] * degree)), aboutX(angles[1] * degree)), aboutZ(angles[2] * degree))
const carry = ([x, y, z]: readonly number[]) => [0, 1, 2].map(n => plane[n][0] * x + plane[n][1] * y + plane[n][2] * z + plane[n][3])

const zeros: Readonly<Record<string, number>> = { X: 5, Y: 8, Z: -300 }
const setup = testSetup({ tools: [tool], offsets: { G54: zeros } })

interface Ran { readonly points: number[][], readonly seconds: number[], readonly problems: Problem[], readonly isKnown: boolean }

/** Tool points of the feed motions on the part, at four moments each. */
function ran(name: Family, text: string, control: Partial<Control> = {}): Ran {
  const loaded = loadFamily(name).machine, machine = { ...loaded, control: { ...loaded.control, ...control } }
  const kinematics = buildKinematics(machine, machine.axes.map(each => zeros[each.letter] ?? 0)), problems: Problem[] = []
  const { toolpath } = interpret(text, { machine, setup, kinematics, report: problem => problems.push(problem) })
  const pose = new MotionPose(kinematics, toolpath, [gaugeLength(tool)])
  const points: number[][] = [], seconds: number[] = []
  let isKnown = true
  for (let i = 0; i < toolpath.count; i++) {
    if ((toolpath.flags[i] & MotionFlag.unknownStart) !== 0) isKnown = false
    if ((toolpath.flags[i] & (MotionFlag.rapid | MotionFlag.unknownStart)) !== 0) continue
    pose.begin(i)
    for (const t of [0, 0.3, 0.8, 1]) {
      pose.at(t)
      points.push([pose.px, pose.py, pose.pz])
    }
    seconds.push(toolpath.seconds[i])
  }
  return { points, seconds, problems, isKnown }
}

const head = 'T1 M6\nG21 G90 G94 G17 G54\nS1000 M3\nG43 H1 G0 Z80'
const lay = `G68.2 ${words('XYZ', zero)} ${words('IJK', angles)}\nG53.1`

const contents: readonly [name: string, program: string][] = [
  ['drilling, return to the start (NISTIR 6556 3.5.16.1)', 'G0 X0 Y0 Z20\nG98 G81 X4 Y5 Z-3 R2 F100\nX-6\nY-5\nG80'],
  ['drilling, return to R, incremental, repeated (worked cycle 2)', 'G0 X1 Y2 Z3\nG91 G99 G81 X4 Y5 Z-0.6 R1.8 L3 F100\nG80 G90'],
  ['pecks (3.5.16.3)', 'G0 X0 Y0 Z20\nG83 X4 Y5 Z-7 R2 Q3 F100\nG80'],
  ['boring with a dwell (3.5.16.9)', 'G0 X0 Y0 Z20\nG89 X4 Y5 Z-7 R2 P0.5 F100\nG80'],
  ['tapping (3.5.16.4)', 'G0 X0 Y0 Z20\nG84 X4 Y5 Z-7 R2 F100\nG80'],
  ['drilling along the plane\'s Y (3.5.16, G18)', 'G0 X0 Y20 Z0\nG18 G81 X4 Z5 Y-3 R2 F100\nG80 G17'],
  ['compensation left about a pocket with outside arcs (appendix B)', 'G0 X0 Y0 Z0\nG1 G41 D1 X10 Y10 F200\nX30\nG3 X40 Y20 I0 J10\nG1 Y40\nX10\nY10\nG40 X0 Y0'],
  ['compensation right, corners rolled and cut short, Z on the way', 'G0 X0 Y0 Z0\nG1 G42 D1 X20 Y20 F200\nX40 Y20\nZ-2\nX40 Y50\nX60 Y50\nG2 X80 Y30 I0 J-20\nG40 G1 X90 Y10'],
  ['arcs and helices in all three planes (3.5.3)', 'G0 X0 Y0 Z0\nG2 X10 Y0 R12 Z2 F100\nG18 G3 X0 Z2 R12\nG19 G2 Y8 Z2 J4 K0\nG17'],
  ['incremental words and inverse time (3.5.19)', 'G0 X0 Y0 Z0\nG91 G1 X5 F100\nG93 Y5 F2\nX-5 Z1 F4\nG94 G90'],
]

describe.each(families)('%s', name => {
  test.each(contents)('%s: the level path carried into the plane', (_what, content) => {
    const level = ran(name, `${head}\n${content}\nM30`), tilted = ran(name, `${head}\n${lay}\n${content}\nG69\nM30`)
    expect([level.problems, tilted.problems]).toEqual([[], []])
    expect(level.points.length).toBeGreaterThan(3)
    expect(tilted.points).toHaveLength(level.points.length)
    level.points.forEach((point, n) => carry(point).forEach((value, i) => expect(Math.abs(tilted.points[n][i] - value)).toBeLessThan(1e-9)))
    level.seconds.forEach((value, n) => expect(tilted.seconds[n]).toBeCloseTo(value, 4))
  })

  const content = 'G0 X0 Y0 Z20\nG81 X4 Y5 Z-3 R2 F100\nG80\nG1 G41 D1 X20 Y20\nX40\nG40 Y0'
  const shifts: readonly [name: string, before: string, after: string][] = [
    ['G92', 'G0 X0 Y0\nG92 X-3 Y6 Z81.5', 'G92.1'],
    ['G52', 'G52 X3 Y-6 Z-1.5', 'G52 X0 Y0 Z0'],
    ['G10 L2', `G10 L2 P1 X${5 + 3} Y${8 - 6} Z${-300 - 1.5}`, ''],
  ]
  test.each(shifts)('%s before the plane: the plane lies in the shifted frame', (_what, before, after) => {
    const plain = ran(name, `${head}\n${lay}\n${content}\nG69\nM30`), shifted = ran(name, `${head}\n${before}\n${lay}\n${content}\nG69\n${after}\nM30`)
    expect(shifted.problems).toEqual([])
    expect(shifted.points).toHaveLength(plain.points.length)
    plain.points.forEach((point, n) => [3, -6, -1.5].forEach((by, i) => expect(Math.abs(shifted.points[n][i] - point[i] - by)).toBeLessThan(1e-9)))
  })

  test.each(['G92 X0 Y0 Z0', 'G92 X7', 'G52 X1'])('%s inside the plane is said, and nothing behind it passes as checked', shift => {
    const before = ran(name, `${head}\n${lay}\nG0 X1 Y1 Z1\nG1 X5 F100\nM30`)
    const { problems, points, isKnown } = ran(name, `${head}\n${lay}\nG0 X1 Y1 Z1\nG1 X5 F100\n${shift}\nG1 X9 F100\nY3\nG69\nG1 X0 Y0 Z0\nM30`)
    expect(problems.filter(each => each.rule === 'not-checked').map(each => each.message)).toEqual([expect.stringContaining(`${shift.slice(0, 3)} in a tilted plane`)])
    expect(points).toEqual(before.points)
    expect(isKnown).toBe(false)
  })

  const inPlane = { tiltedPlaneShift: 'in-plane' } as const
  const inner: readonly [name: string, shift: string, back: string][] = [
    ['G52', 'G52 X3 Y-6 Z-1.5', 'G52 X0 Y0 Z0'], ['G52 said twice counts once', 'G52 X9\nG52 X3 Y-6 Z-1.5', 'G52 X0 Y0 Z0'],
    ['G92', 'G0 X0 Y0 Z20\nG92 X-3 Y6 Z21.5', 'G92.1'], ['G92 upon G92', 'G0 X0 Y0 Z20\nG92 X5 Y5\nG92 X-3 Y6 Z21.5', 'G92.2'],
    ['both', 'G52 X2 Z-1.5\nG0 X-2 Y0\nG92 X-3 Y6', 'G52 X0 Z0\nG92.1'],
  ]
  test.each(inner)('%s inside the plane, where the control shifts along its axes', (_what, shift, back) => {
    const plain = ran(name, `${head}\n${lay}\n${content}\nM30`), shifted = ran(name, `${head}\n${lay}\n${shift}\n${content}\nM30`, inPlane)
    expect(shifted.problems).toEqual([])
    expect(shifted.points).toHaveLength(plain.points.length)
    const [x, y, z] = carry([3, -6, -1.5]), [x0, y0, z0] = carry([0, 0, 0])
    plain.points.forEach((point, n) => [x - x0, y - y0, z - z0].forEach((by, i) => expect(Math.abs(shifted.points[n][i] - point[i] - by)).toBeLessThan(1e-9)))
    const again = ran(name, `${head}\n${lay}\n${shift}\n${back}\n${content}\nM30`, inPlane)
    again.points.forEach((point, n) => point.forEach((value, i) => expect(Math.abs(value - plain.points[n][i])).toBeLessThan(1e-9)))
  })

  test('a shift taken back inside the plane is none', () => {
    const plain = ran(name, `${head}\n${lay}\n${content}\nM30`), back = ran(name, `${head}\nG52 X4\n${lay}\nG52 X0\n${content}\nM30`)
    expect(back.problems).toEqual([])
    expect(back.points).toEqual(plain.points)
  })

  const column = (n: number) => [0, 1, 2].map(row => plane[row][n])
  const point = (x: number, y: number) => words('XYZ', carry([x, y, 0]).map(value => Number(value.toFixed(12))))
  const laidByParts: readonly [name: string, parts: readonly string[]][] = [
    ['three points', [`G68.2 P2 Q1 ${words('XYZ', zero)}`, `G68.2 P2 Q2 ${point(40, 0)}`, `G68.2 P2 Q3 ${point(-3, 25)}`]],
    ['three points, the last one first', [`G68.2 P2 Q3 ${point(70, 2)}`, `G68.2 P2 Q2 ${point(40, 0)}`, `G68.2 P2 Q1 ${words('XYZ', zero)}`]],
    ['two vectors', [`G68.2 P3 Q1 ${words('XYZ', zero)} ${words('IJK', column(0))}`, `G68.2 P3 Q2 ${words('IJK', column(2))}`]],
    ['two vectors of any length, not quite square', [`G68.2 P3 Q2 ${words('IJK', column(2).map(value => 7 * value))}`,
      `G68.2 P3 Q1 ${words('XYZ', zero)} ${words('IJK', column(0).map((value, n) => 3 * value + 0.5 * column(2)[n]))}`]],
  ]
  const forms = { tiltedPlaneForms: { 2: 'points', 3: 'vectors' } } as const
  test.each(laidByParts)('the plane laid by %s is the one of the angles', (_what, parts) => {
    const plain = ran(name, `${head}\n${lay}\n${content}\nM30`), byParts = ran(name, `${head}\n${parts.join('\n')}\nG53.1\n${content}\nM30`, forms)
    expect(byParts.problems).toEqual([])
    expect(byParts.points).toHaveLength(plain.points.length)
    plain.points.forEach((each, n) => each.forEach((value, i) => expect(Math.abs(byParts.points[n][i] - value)).toBeLessThan(1e-9)))
  })

  test.each([
    ['a part is lacking', 'G68.2 P2 Q1 X1\nG68.2 P2 Q3 Y1\nG1 X5 F100', 'Q2 of it is lacking'],
    ['the points lie on a line', 'G68.2 P2 Q1 X1\nG68.2 P2 Q2 X2\nG68.2 P2 Q3 X9\nG1 X5 F100', 'lie on one line'],
    ['the vectors are one', 'G68.2 P3 Q1 K1\nG68.2 P3 Q2 K2\nG1 X5 F100', 'point the same way'],
    ['there is no such part', 'G68.2 P3 Q3 K2\nG1 X5 F100', 'G68.2'],
  ])('where %s, that is said and nothing passes as checked', (_what, program, words) => {
    const { problems, points, isKnown } = ran(name, `${head}\n${program}\nM30`, forms)
    expect(problems.filter(({ rule }) => rule === 'not-checked').map(({ message }) => message).join('\n')).toContain(words)
    expect([points, isKnown]).toEqual([[], false])
  })

  test.each([
    ['the plane laid while compensation is on', `G1 G41 D1 X20 Y20 F100\nX40\n${lay}\nG40 X0`, /G41 .*G68\.2 changes the working plane/],
    ['the plane left while it is on', `${lay}\nG1 G41 D1 X20 Y20 F100\nX40\nG69\nG40 X0`, /G41 .*G69 changes the working plane/],
    ['the tool turned while it is on', `G68.2 I20 J34\nG1 G41 D1 X20 Y20 F100\nX40\nG53.1\nG40 X0`, /G41 .*G53\.1 changes the direction of the tool/],
  ])('%s is misuse', (_what, content, message) => {
    expect(ran(name, `${head}\n${content}\nM30`).problems.map(({ rule, message: text }) => [rule, text])).toContainEqual(['radius-compensation-misuse', expect.stringMatching(message)])
  })

  test('a cycle does not go on into a plane: its levels are those of the frame it was begun in', () => {
    const { problems, isKnown } = ran(name, `${head}\nG81 X1 Y1 Z-3 R2 F100\n${lay}\nX5 Y5\nG80\nM30`)
    expect(problems.map(each => [each.rule, each.message])).toEqual([['cycle-misuse', expect.stringMatching(/needs Z and R/)]])
    expect(isKnown).toBe(false)
  })
})
