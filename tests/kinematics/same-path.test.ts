import { describe, expect, test } from 'vitest'
import { buildKinematics } from '../../shared/kinematics.ts'
import { MotionPose } from '../../shared/motion-pose.ts'
import { gaugeLength } from '../../shared/tool-length.ts'
import { MotionFlag } from '../../shared/toolpath.ts'
import type { Problem } from '../../shared/problem.ts'
import { interpret } from '../../server/engine/machine/interpreter.ts'
import { testSetup, testTool } from '../machine/run-program.ts'
import { families, loadFamily, type Family } from './families.ts'
import { aboutX, aboutZ, times, translation, type Matrix } from './homogeneous.ts'

// One contour on a sloping face, written three ways: in a tilted working plane, with tool-centre
// control and rotary words, with tool-centre control and the tool axis as a vector. The tool has to
// run the same way on the part each time. The plane is laid by Z-X-Z angles about axes that turn along:
// worked with the matrices of homogeneous.ts, which share nothing with the engine.

const degree = Math.PI / 180
const tool = testTool(1, 60, { holder: [{ diameter: 40, topDiameter: 40, length: 25 }] })
const angles = { i: 20, j: 34, k: -15 }, zero = [12, -7, 4] as const

/** Plane to work offset. */
const plane: Matrix = times(times(times(translation(...zero), aboutZ(angles.i * degree)), aboutX(angles.j * degree)), aboutZ(angles.k * degree))
const axis = [plane[0][2], plane[1][2], plane[2][2]]
const onPart = (x: number, y: number, z: number) => [0, 1, 2].map(n => plane[n][0] * x + plane[n][1] * y + plane[n][2] * z + plane[n][3])
const words = (letters: string, values: readonly number[]) => values.map((value, n) => `${letters[n]}${value.toFixed(12)}`).join(' ')
const to = (x: number, y: number, z: number) => words('XYZ', onPart(x, y, z))

/** Program zero in machine coordinates; the work lies turned, and leant with the cradle or head. */
const zeros: Readonly<Record<string, number>> = { X: 5, Y: 8, Z: -300, A: 0.04, B: 0.04, C: 0.4 }
const setup = testSetup({ tools: [tool], offsets: { G54: zeros, G55: { ...zeros, X: 15, Z: -310 } } })

interface Sample { readonly point: readonly number[], readonly axis: readonly number[], readonly seconds: number }

/** Tool points and axes of the feed motions, at five moments each. */
function feedPath(name: Family, text: string): { samples: Sample[], problems: Problem[] } {
  const { machine } = loadFamily(name)
  const kinematics = buildKinematics(machine, machine.axes.map(each => zeros[each.letter])), problems: Problem[] = []
  const { toolpath } = interpret(text, { machine, setup, kinematics, report: problem => problems.push(problem) })
  const pose = new MotionPose(kinematics, toolpath, [gaugeLength(tool)])
  const samples: Sample[] = []
  for (let i = 0; i < toolpath.count; i++) {
    expect(toolpath.flags[i] & MotionFlag.unknownStart).toBe(0)
    if ((toolpath.flags[i] & MotionFlag.rapid) !== 0) continue
    pose.begin(i)
    for (const t of [0.5, 0, 0.2, 0.7, 1]) {
      pose.at(t)
      samples.push({ point: [pose.px, pose.py, pose.pz], axis: [pose.ax, pose.ay, pose.az], seconds: toolpath.seconds[i] })
    }
  }
  return { samples, problems }
}

const head = 'T1 M6\nG21 G90 G94 G17'
const tilted = (offset: string) => `${head} ${offset}
G43 H1 G0 Z80
G68.2 X${zero[0]} Y${zero[1]} Z${zero[2]} I${angles.i} J${angles.j} K${angles.k}
G53.1
G0 X20 Y-10 Z15
G1 Z0 F500
X-20
G91 Y8
G90 X5 Y10 Z-2
G1 Z15 F900
G69`

const lines = [[20, -10, 0], [-20, -10, 0], [-20, -2, 0], [5, 10, -2], [5, 10, 15]] as const

/** The same with tool-centre control; `turn` gives the words that turn the tool. */
const centred = (offset: string, on: string, turn: string) => `${head} ${offset}
G43 H1 G0 Z80
G49
${on} H1 G0 ${turn} ${to(20, -10, 15)}
${lines.map(([x, y, z], n) => `G1 ${to(x, y, z)} F${n === 4 ? 900 : 500}`).join('\n')}
G49`

/** Words of the rotary axes after G53.1, in degrees, as the interpreter has them. */
function rotaryWords(name: Family, offset: string): string {
  const { machine } = loadFamily(name)
  const { final } = interpret(tilted(offset), { machine, setup, kinematics: buildKinematics(machine, machine.axes.map(each => zeros[each.letter])), report: () => undefined })
  return machine.axes.filter(each => each.kind === 'rotary').map(each => `${each.letter}${((final.position[each.letter] ?? 0) / degree).toFixed(13)}`).join(' ')
}

function expectSame(a: readonly Sample[], b: readonly Sample[], within: number): void {
  expect(a).toHaveLength(b.length)
  a.forEach((sample, n) => {
    expect(sample.seconds).toBeCloseTo(b[n].seconds, 4)
    sample.point.forEach((value, i) => expect(Math.abs(value - b[n].point[i])).toBeLessThan(within))
    sample.axis.forEach((value, i) => expect(Math.abs(value - b[n].axis[i])).toBeLessThan(within))
  })
}

describe.each(families)('%s', name => {
  test.each(['G54', 'G55'])('tilted plane, rotary words and tool vector give one path on the part, %s', offset => {
    const plain = feedPath(name, tilted(offset))
    expect(plain.problems).toEqual([])
    expect(plain.samples).toHaveLength(25)
    const byAngles = feedPath(name, centred(offset, 'G43.4', rotaryWords(name, offset)))
    expect(byAngles.problems).toEqual([])
    expectSame(plain.samples, byAngles.samples, 1e-9)
    const byVector = feedPath(name, centred(offset, 'G43.5', words('IJK', axis)))
    expect(byVector.problems).toEqual([])
    expectSame(plain.samples, byVector.samples, 1e-9)
    // And it is the path that the matrices give: here the ends of the lines.
    if (offset === 'G55') return
    lines.forEach(([x, y, z], n) => onPart(x, y, z).forEach((value, i) => expect(plain.samples[n * 5 + 4].point[i]).toBeCloseTo(value, 9)))
    plain.samples.forEach(sample => sample.axis.forEach((value, i) => expect(value).toBeCloseTo(axis[i], 9)))
  })

  test('arcs of the tilted plane lie in its G17, G18 and G19', () => {
    const { samples, problems } = feedPath(name, `${head}
G43 H1 G0 Z80
G68.2 X${zero[0]} Y${zero[1]} Z${zero[2]} I${angles.i} J${angles.j} K${angles.k}
G53.1
G0 X10 Y0 Z0
G17 G3 X0 Y10 I-10 J0 F400
G18 G2 X-6 Z8 R10
G19 G3 Y10 Z8 J-3 K4
G69`)
    expect(problems).toEqual([])
    // Samples at t = 0.5, 0, 0.2, 0.7, 1 of a quarter circle about the plane's zero.
    ;[0.5, 0, 0.2, 0.7, 1].forEach((t, n) => {
      const wanted = onPart(10 * Math.cos(t * Math.PI / 2), 10 * Math.sin(t * Math.PI / 2), 0)
      wanted.forEach((value, i) => expect(samples[n].point[i]).toBeCloseTo(value, 9))
    })
    // G18, clockwise seen from +Y, from X0 Z0 to X-6 Z8 with R10: the chord is 10 long, the centre lies 5√3 to
    // the right of its middle as one goes (first axis Z, second X), so towards -X -Z.
    const [middle, , , , end] = samples.slice(5, 10)
    onPart(-6, 10, 8).forEach((value, i) => expect(end.point[i]).toBeCloseTo(value, 9))
    const turned = onPart(-3 - 0.8 * Math.sqrt(75), 10, 4 - 0.6 * Math.sqrt(75))
    expect(Math.hypot(...turned.map((value, i) => middle.point[i] - value))).toBeCloseTo(10, 9)
    // G19: a full circle of radius 5 about (-6, 7, 12).
    const centre = onPart(-6, 7, 12)
    for (const sample of samples.slice(10, 15)) expect(Math.hypot(...centre.map((value, i) => sample.point[i] - value))).toBeCloseTo(5, 9)
    for (const sample of samples) sample.axis.forEach((value, i) => expect(value).toBeCloseTo(axis[i], 9))
  })

  test('without a length offset the arc is that of the gauge point', () => {
    const { samples } = feedPath(name, `${head}
G0 Z80
G68.2 I${angles.i} J${angles.j} K${angles.k}
G53.1
G0 X10 Y0 Z0
G3 X0 Y10 I-10 J0 F400
G69`)
    ;[0.5, 0, 0.2, 0.7, 1].forEach((t, n) => {
      const gauge = [0, 1, 2].map(i => plane[i][0] * 10 * Math.cos(t * Math.PI / 2) + plane[i][1] * 10 * Math.sin(t * Math.PI / 2))
      // The tip lies 60 + 25 mm below it along the tool axis.
      gauge.forEach((value, i) => expect(samples[n].point[i]).toBeCloseTo(value - 85 * axis[i], 9))
    })
  })
})
