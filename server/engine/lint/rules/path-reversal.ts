import type { MotionPose } from '../../../../shared/motion-pose.ts'
import { ARC_STRIDE, type Toolpath } from '../../../../shared/toolpath.ts'
import { degrees, millimetres } from '../figures.ts'
import { LimitTrack } from '../limit-track.ts'
import { LineWords } from '../line-words.ts'
import { angleBetween, isFeedMotion, poseOf } from '../program-pose.ts'
import { defineRule } from '../rule.ts'

/** A path that turns by more than this within a cutter's radius of way turns back. */
const REVERSAL = 135 * Math.PI / 180
/** A way as steep to the part as this, measured by the tool axis, goes in or out and is no part of the cut. */
const ALONG_AXIS = Math.cos(30 * Math.PI / 180)
/** Directions kept of the way behind. */
const KEPT = 32
/** Looked back over where the tool is not known; mm. */
const USUAL_RADIUS = 1

export const pathReversal = defineRule({
  id: 'path-reversal',
  level: 'warning',
  group: 'motion',
  docs: {
    what: 'In a pass marked `oneWay`, the path of the tool point turns by more than 135° within a cutter\'s radius of way. Moves along the tool axis, in or out, do not count, and a rapid ends the path.',
    why: 'Where the cut turns back, climb milling becomes conventional milling: the tool is pushed the other way and the two directions show on the surface.',
    instead: 'Lift off and come back in rapid, or cut round in one sense.',
  },
  bad: [
    {
      title: 'back and forth in a pass that must be one-way',
      setup: oneWaySetup(),
      program: `
N10 T1 M6
N20 G21 G90 G94 G54 G0 G43 H1 X0. Y0. Z2.
N30 G1 Z0. F500
N40 X30.
N50 Y.4
N60 X0.
    ^^^ warning path-reversal: by 180° within 0.4 mm
N70 G0 Z50.
`,
    },
    {
      title: 'the same in many rows is told once',
      setup: oneWaySetup(),
      program: `
N10 T1 M6
N20 G21 G90 G94 G54 G0 G43 H1 X0. Y0. Z0.
N40 G1 X30. F500
N50 Y.4
N60 X0.
    ^^^ warning path-reversal: the first of 3 in this program
N70 Y.8
N80 X30.
N90 Y1.2
N100 X0.
`,
    },
  ],
  good: [
    {
      title: 'lifted off and brought back',
      setup: oneWaySetup(),
      program: `
N10 T1 M6
N20 G21 G90 G94 G54 G0 G43 H1 X0. Y0. Z2.
N30 G1 Z0. F500
N40 X30.
N50 G0 Z2.
N60 X0. Y.4
N70 G1 Z0.
N80 X30.
`,
    },
    {
      title: 'round in one sense',
      setup: oneWaySetup(),
      program: `
N10 T1 M6
N20 G21 G90 G94 G54 G17 G0 G43 H1 X0. Y0. Z0.
N30 G1 X20. F500
N40 G3 X20. Y20. J10.
N50 G1 X0.
N60 G3 X0. Y0. J-10.
`,
    },
    {
      title: 'a pass that may go both ways',
      setup: oneWaySetup().replace('true', 'false'),
      program: `
N10 T1 M6
N20 G21 G90 G94 G54 G0 G43 H1 X0. Y0. Z0.
N30 G1 X20. F500
N40 X0.
`,
    },
  ],
  start: (report, context) => {
    const { setup, machine, text } = context
    if (setup?.passes.some(pass => pass.oneWay) !== true) return {}
    const oneWay = new LimitTrack(setup, (_limits, pass) => pass?.oneWay === true ? true : undefined)
    return {
      ...oneWay.visitor,
      end(toolpath, lineStarts) {
        const pose = poseOf(context, toolpath)
        const way = new WayBehind()
        let first: { readonly motion: number, readonly turn: number, readonly over: number } | undefined
        let count = 0
        for (let i = 0; i < toolpath.count; i++) {
          if (!isFeedMotion(toolpath, i) || oneWay.at(i, toolpath) !== true) {
            way.forget()
            continue
          }
          const cutter = setup.tools[toolpath.tool[i] ?? -1]?.cutter
          way.radius = cutter === undefined ? USUAL_RADIUS : cutter.DC / 2
          if (!turnsBack(pose, toolpath, i, way)) continue
          count++
          first ??= { motion: i, turn: way.turn, over: way.over }
        }
        if (first === undefined) return
        const words = new LineWords(text, machine, lineStarts)
        report({
          rule: 'path-reversal', motion: first.motion, span: words.wordsSpan(toolpath.line[first.motion] ?? 0, 'XYZABCUVW'),
          message: `The path turns by ${degrees(first.turn)} within ${millimetres(first.over)} of way, in a pass that must run one way`
            + `${count === 1 ? '' : `; the first of ${count} in this program`}.`,
        })
      },
    }
  },
})

/** Follows the motion; whether the path turns back in it. */
function turnsBack(pose: MotionPose, toolpath: Toolpath, motion: number, way: WayBehind): boolean {
  const arc = toolpath.arcOf[motion] ?? -1
  const pieces = arc < 0 ? 1 : Math.ceil((toolpath.arcs[arc * ARC_STRIDE + 9] ?? 0) / 0.3)
  pose.begin(motion)
  pose.at(0.5)
  let found = false
  for (let n = 0; n <= pieces; n++) {
    pose.at(n / pieces)
    const speed = Math.hypot(pose.vx, pose.vy, pose.vz)
    if (!(speed > 1e-9)) continue
    const x = pose.vx / speed, y = pose.vy / speed, z = pose.vz / speed
    if (n > 0) way.go(speed / pieces)
    if (Math.abs(x * pose.ax + y * pose.ay + z * pose.az) > ALONG_AXIS) continue
    if (way.head(x, y, z)) found = true
  }
  return found
}

/** Directions of the way just gone, no further back than a cutter's radius. */
class WayBehind {
  radius = USUAL_RADIUS
  /** The reversal found last: how far the path turned, over what way. */
  turn = 0
  over = 0
  readonly #directions = new Float64Array(KEPT * 3)
  readonly #places = new Float64Array(KEPT)
  #first = 0
  #count = 0
  #place = 0

  forget(): void {
    this.#count = 0
  }

  go(distance: number): void {
    this.#place += distance
  }

  /** Takes the direction in which the path goes on from here; whether it has turned back. */
  head(x: number, y: number, z: number): boolean {
    while (this.#count > 0 && this.#place - (this.#places[this.#first] ?? 0) > this.radius) {
      this.#first = (this.#first + 1) % KEPT
      this.#count--
    }
    let isBack = false
    for (let n = 0; n < this.#count && !isBack; n++) {
      const at = (this.#first + n) % KEPT
      const turn = angleBetween(x, y, z, this.#directions[at * 3] ?? 0, this.#directions[at * 3 + 1] ?? 0, this.#directions[at * 3 + 2] ?? 0)
      if (turn <= REVERSAL) continue
      isBack = true
      this.turn = turn
      this.over = this.#place - (this.#places[at] ?? 0)
    }
    // From a reversal on, the new direction is the right one.
    if (isBack) this.#count = 0
    this.#keep(x, y, z)
    return isBack
  }

  #keep(x: number, y: number, z: number): void {
    const last = (this.#first + this.#count - 1 + KEPT) % KEPT
    // Directions closer together than a thirtieth of the radius say nothing new.
    if (this.#count > 0 && this.#place - (this.#places[last] ?? 0) < this.radius / KEPT
      && angleBetween(x, y, z, this.#directions[last * 3] ?? 0, this.#directions[last * 3 + 1] ?? 0, this.#directions[last * 3 + 2] ?? 0) < 0.2) return
    if (this.#count === KEPT) {
      this.#first = (this.#first + 1) % KEPT
      this.#count--
    }
    const at = (this.#first + this.#count) % KEPT
    this.#directions[at * 3] = x
    this.#directions[at * 3 + 1] = y
    this.#directions[at * 3 + 2] = z
    this.#places[at] = this.#place
    this.#count++
  }
}

function oneWaySetup(): string {
  return `{
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } },
  "passes": [{ "tools": [1], "oneWay": true }],
  "tools": [{ "number": 1, "name": "ball 4", "cutter": { "shape": "ball", "DC": 4, "LCF": 6 }, "LPR": 30 }]
}`
}
