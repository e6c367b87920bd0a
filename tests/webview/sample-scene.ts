import { builtInMachine } from '../../server/engine/setup/built-in-machine.ts'
import type { Point } from '../../shared/finding.ts'
import { buildKinematics, jointsForToolPoint } from '../../shared/kinematics.ts'
import { MotionPose } from '../../shared/motion-pose.ts'
import { PathFlag, motionArrays } from '../../shared/protocol/scene-messages.ts'
import { NO_MOTION } from '../../shared/protocol/result-messages.ts'
import type { BodyDescription, MotionsDescription, OtherVersion, SceneDescription, SceneFinding, ToolOutline } from '../../shared/protocol/scene-messages.ts'
import type { PoseAnswer } from '../../shared/protocol/server-messages.ts'
import type { ResultDescription } from '../../shared/protocol/result-messages.ts'
import type { ResultArrays } from '../../webview/geometry/left-places.ts'
import { ARC_STRIDE, MotionFlag, MotionKind, ToolpathBuilder } from '../../shared/toolpath.ts'
import type { Toolpath } from '../../shared/toolpath.ts'

// A scene for the page's tests: a throat with a bumpy, overhanging lip, a ball cutter winding down
// its wall, and a few findings. Made by formulas, so that any number of triangles can be asked for.

export interface SampleScene {
  readonly description: SceneDescription
  readonly buffers: ReadonlyMap<string, Uint8Array>
  readonly pose: (line: number) => PoseAnswer
  readonly result: ResultDescription
}

export interface SampleSize {
  readonly triangles: number
  readonly segments: number
  /** Changes the keys, as a change of the program would. */
  readonly edition?: number
}

export function sampleScene({ triangles, segments, edition = 1 }: SampleSize): SampleScene {
  const corners = throatMesh(triangles)
  const path = throatPath(segments)
  const toolpath = throatMotions(path)
  const bytes = (array: ArrayBufferView) => new Uint8Array(array.buffer, array.byteOffset, array.byteLength)
  const key = (name: string) => `${name}-${edition}`
  const figures = throatFigures(toolpath), left = leftOnThroat(corners, toolpath.count)
  const description: SceneDescription = {
    uri: 'file:///sample/inlet.nc',
    version: edition,
    unit: 1,
    part: { name: 'inlet.stl', triangles: corners.length / 9, positions: 'part', min: [-42, -42, -46], max: [42, 42, 7] },
    bodies: sampleBodies,
    stock: { kind: 'cylinder', diameter: 88, bottom: -46, top: 8 },
    path: { vertices: path.flags.length, positions: key('path'), lines: key('lines'), flags: key('flags'), motions: key('motions') },
    motions: describedMotions(toolpath, key),
    contact: {
      value: key('value'), certified: key('certified'), points: key('points'),
      limits: [{ motion: 0, feed: [-0.01, 0.15, 0.15, 1], rapid: [1, 1, 1, 1] }],
    },
    tools: [ballTool],
    findings: sampleFindings(path),
    notes: [],
  }
  return {
    description,
    buffers: new Map([
      ['part', bytes(corners)], [key('path'), bytes(path.positions)], [key('lines'), bytes(path.lines)], [key('flags'), bytes(path.flags)],
      ['other-path', bytes(path.positions.map((value, i) => i % 3 === 2 ? value + 0.5 : value))],
      [key('motions'), bytes(Uint32Array.from(path.lines, (_, i) => Math.max(0, i - 1)))],
      ...(Object.keys(motionArrays) as (keyof typeof motionArrays)[]).flatMap((name): [string, Uint8Array][] => {
        const array = toolpath[name]
        return array === undefined ? [] : [[key(`motion-${name}`), bytes(array)]]
      }),
      [key('value'), bytes(figures)], [key('certified'), bytes(figures.map(value => value - 0.002))], [key('points'), bytes(nearPoints(path))],
      [key('left-points'), bytes(left.points)], [key('left-heights'), bytes(left.heights)], [key('left-bounds'), bytes(left.bounds)], [key('left-motions'), bytes(left.motions)],
      ['clamp', bytes(boxMesh([44, -8, -46], [60, 8, 4]))], ['nose', bytes(boxMesh([-30, -30, 0], [30, 30, 40]))],
    ]),
    pose: line => poseAt(path, toolpath, line),
    result: {
      version: edition, samples: left.heights.length, spacing: 0.4, reach: 3, allowed: { leftover: 0.05, gouge: 0.01 }, area: 9000, reached: 5400, finished: 4100, isOvercutLeast: false,
      points: key('left-points'), heights: key('left-heights'), bounds: key('left-bounds'), motions: key('left-motions'),
    },
  }
}

/** Another version: its path the same, lifted by half a millimetre; motions 100 to 119 count as run another way, 200 to 204 as new. */
export function sampleOther({ description: { path } }: SampleScene): OtherVersion {
  return {
    name: 'inlet-released.nc', path: { ...path, positions: 'other-path' }, sameMotions: path.vertices - 26, rewritten: 0,
    changes: [
      { old: { first: 100, end: 120 }, new: { first: 100, end: 120 }, lines: [112, 131], apart: { value: 0.5, atMost: 0.5001 } },
      { old: { first: 200, end: 200 }, new: { first: 200, end: 205 }, lines: [212, 216] },
    ],
  }
}

/** Radius and height of the wall, down the throat from the outer rim (s = 0) to the floor's edge (s = 1). */
function profile(s: number): readonly [number, number] {
  const knots: readonly (readonly [number, number, number])[] = [
    [0, 42, -46], [0.18, 42, -6], [0.24, 40, -2], [0.34, 26, 0], [0.42, 19, 3], [0.46, 16, 6], [0.5, 12.6, 5.2],
    [0.55, 12.2, 1], [0.64, 15, -7], [0.78, 17, -19], [0.9, 15.5, -31], [1, 14.5, -46],
  ]
  let i = 0
  while (i < knots.length - 2 && knots[i + 1][0] < s) i++
  const before = knots[Math.max(0, i - 1)], a = knots[i], b = knots[i + 1], after = knots[Math.min(knots.length - 1, i + 2)]
  const t = (s - a[0]) / (b[0] - a[0])
  const curve = (k: 1 | 2) => {
    const m0 = (b[k] - before[k]) / (b[0] - before[0] || 1) * (b[0] - a[0])
    const m1 = (after[k] - a[k]) / (after[0] - a[0] || 1) * (b[0] - a[0])
    return (2 * t ** 3 - 3 * t ** 2 + 1) * a[k] + (t ** 3 - 2 * t ** 2 + t) * m0 + (3 * t ** 2 - 2 * t ** 3) * b[k] + (t ** 3 - t ** 2) * m1
  }
  return [curve(1), curve(2)]
}

function wallPoint(s: number, angle: number): readonly [number, number, number] {
  const [radius, height] = profile(s)
  const bumpy = s > 0.4 && s < 1 ? Math.sin((s - 0.4) / 0.6 * Math.PI) : 0
  const r = radius + bumpy * (0.9 * Math.sin(3 * angle + 5 * s) + 0.35 * Math.sin(11 * angle - 31 * s))
  return [r * Math.cos(angle), r * Math.sin(angle), height + bumpy * 0.3 * Math.cos(5 * angle)]
}

function throatMesh(triangles: number): Float32Array {
  const around = Math.max(12, Math.round(Math.sqrt(triangles)))
  const along = Math.max(8, Math.floor(triangles / 2 / around))
  const corners = new Float32Array(around * along * 2 * 9)
  let at = 0
  for (let i = 0; i < along; i++) {
    for (let j = 0; j < around; j++) {
      const a = wallPoint(i / along, j / around * 2 * Math.PI), b = wallPoint(i / along, (j + 1) / around * 2 * Math.PI)
      const c = wallPoint((i + 1) / along, j / around * 2 * Math.PI), d = wallPoint((i + 1) / along, (j + 1) / around * 2 * Math.PI)
      corners.set([...a, ...b, ...c, ...b, ...d, ...c], at)
      at += 18
    }
  }
  return corners
}

interface Path { readonly positions: Float32Array, readonly lines: Uint32Array, readonly flags: Uint8Array }

/** Approach, a winding pass down the wall, retract. The first motion stands on line 12. */
function throatPath(segments: number): Path {
  const positions = new Float32Array((segments + 1) * 3)
  const lines = new Uint32Array(segments + 1)
  const flags = new Uint8Array(segments + 1)
  const turns = Math.max(4, Math.round(segments / 180))
  const put = (i: number, point: readonly number[], rapid: boolean) => {
    positions.set(point, i * 3)
    lines[i] = 11 + i
    flags[i] = rapid ? PathFlag.rapid : 0
  }
  put(0, [60, -30, 70], true)
  flags[0] = PathFlag.start
  put(1, [0, 0, 70], true)
  flags[1] |= PathFlag.dogLeg
  put(2, [0, 0, 12], true)
  for (let i = 3; i < segments - 1; i++) {
    const t = (i - 3) / (segments - 5)
    put(i, wallPoint(0.47 + 0.5 * t, t * turns * 2 * Math.PI), false)
  }
  put(segments - 1, [0, 0, -30], false)
  // Not where the approach came down: a click means one of them.
  put(segments, [24, 14, 70], true)
  return { positions, lines, flags }
}

/** Gauge point to tip: the top of the tool's outline. */
const GAUGE_LENGTH = 88
const letters = builtInMachine.axes.map(axis => axis.letter)
export const sampleKinematics = buildKinematics(builtInMachine, letters.map(() => 0))
const TILT = 0.22

/** The tool leans inward while it cuts, the table turning under it. */
function throatMotions({ positions, lines, flags }: Path): Toolpath {
  const jointsAt = (i: number, turn: number) => {
    const isRapid = (flags[i] & PathFlag.rapid) !== 0 || i === 0
    const joints = new Float64Array(letters.length)
    joints[3] = isRapid ? 0 : -TILT
    joints[4] = turn
    jointsForToolPoint(sampleKinematics, joints, GAUGE_LENGTH, positions[i * 3], positions[i * 3 + 1], positions[i * 3 + 2])
    return joints
  }
  const builder = new ToolpathBuilder(letters, jointsAt(0, 0), lines.length)
  let turn = 0
  for (let i = 1; i < lines.length; i++) {
    const isRapid = (flags[i] & PathFlag.rapid) !== 0
    const to = isRapid ? 0 : Math.atan2(positions[i * 3], -positions[i * 3 + 1])
    turn += Math.atan2(Math.sin(to - turn), Math.cos(to - turn))
    const way = Math.hypot(positions[i * 3] - positions[i * 3 - 3], positions[i * 3 + 1] - positions[i * 3 - 2], positions[i * 3 + 2] - positions[i * 3 - 1])
    builder.push(MotionKind.toolLine, isRapid ? MotionFlag.rapid : 0, lines[i], 0, way / (isRapid ? 400 : 10), jointsAt(i, turn))
  }
  return builder.finish()
}

function describedMotions(toolpath: Toolpath, key: (name: string) => string): MotionsDescription {
  const kinematics = { ...sampleKinematics, linearInverse: undefined }
  const names = (Object.keys(motionArrays) as (keyof typeof motionArrays)[]).filter(name => toolpath[name] !== undefined)
  return {
    count: toolpath.count, arcs: toolpath.arcs.length / ARC_STRIDE,
    axes: builtInMachine.axes.map(({ letter, kind, range, rapid, maxFeed }) => ({ letter, kind, range, rapid, maxFeed })),
    kinematics, lengths: [GAUGE_LENGTH], buffers: Object.fromEntries(names.map(name => [name, key(`motion-${name}`)])),
  }
}

/** Clearances that wave along the program; one gouge at three tenths of it. */
function throatFigures({ count, flags }: Toolpath): Float32Array {
  const figures = new Float32Array(count * 4)
  for (let i = 0; i < count; i++) {
    const isRapid = (flags[i] & MotionFlag.rapid) !== 0
    const gouge = Math.abs(i / count - 0.31) < 0.01 ? -0.031 : -0.003
    figures.set(isRapid ? [20, Infinity, Infinity, Infinity] : [gouge, 0.3 + 0.2 * Math.sin(i / 17), 0.4 + 0.28 * Math.sin(i / 40), i % 40 < 20 ? 1.4 : Infinity], i * 4)
  }
  return figures
}

/** The point of the wall that each motion ends at, for all four components. */
function nearPoints({ positions }: Path): Float32Array {
  const points = new Float32Array((positions.length - 3) * 4)
  for (let motion = 0; motion * 12 < points.length; motion++) {
    for (let c = 0; c < 4; c++) points.set(positions.subarray(motion * 3 + 3, motion * 3 + 6), (motion * 4 + c) * 3)
  }
  return points
}

/** Heights that wave over the wall, 0.02 mm too deep to 0.08 mm too high; the outside is not reached. */
function leftOnThroat(corners: Float32Array, motions: number): ResultArrays {
  const count = corners.length / 9
  const points = Float32Array.from({ length: count * 3 }, (_, i) => corners[Math.floor(i / 3) * 9 + i % 3])
  const isReached = (i: number) => Math.hypot(points[i * 3], points[i * 3 + 1]) < 25
  return {
    points, bounds: new Float32Array(count).fill(0.00025),
    heights: Float32Array.from({ length: count }, (_, i) => isReached(i) ? 0.03 + 0.05 * Math.sin(points[i * 3 + 2] / 3) : NaN),
    motions: Uint32Array.from({ length: count }, (_, i) => isReached(i) ? i % motions : NO_MOTION),
  }
}

const sampleBodies: readonly BodyDescription[] = [
  { kind: 'fixture', name: 'clamp', triangles: 12, positions: 'clamp' },
  { kind: 'machine', name: 'spindle nose', triangles: 12, positions: 'nose', joint: 2 },
]

function boxMesh(min: Point, max: Point): Float32Array {
  const corner = (i: number) => [(i & 1) === 0 ? min[0] : max[0], (i & 2) === 0 ? min[1] : max[1], (i & 4) === 0 ? min[2] : max[2]]
  const sides = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]]
  return Float32Array.from(sides.flatMap(([a, b, c, d]) => [a, b, c, a, c, d]).flatMap(corner))
}

const ballTool: ToolOutline = {
  number: 3,
  name: 'ball 4, relieved neck',
  parts: [
    { component: 'cutter', outline: [...Array.from({ length: 17 }, (_, k): [number, number] => [2 * Math.sin(k * Math.PI / 32), 2 - 2 * Math.cos(k * Math.PI / 32)]), [2, 6]] },
    { component: 'neck', outline: [[1.85, 6], [1.85, 24]] },
    { component: 'shank', outline: [[1.85, 24], [3, 28.3], [3, 38]] },
    { component: 'holder', outline: [[6, 38], [10, 68], [25, 68], [25, 88]] },
  ],
}

function poseAt(path: Path, toolpath: Toolpath, line: number): PoseAnswer {
  let index = 0
  for (let i = 1; i < path.lines.length; i++) {
    if (path.lines[i] <= line) index = i
  }
  if (index === 0) return { line, text: '(INLET, FINISHING)', toolNumber: 3 }
  const [x, y, z] = path.positions.slice(index * 3, index * 3 + 3)
  const rapid = (path.flags[index] & PathFlag.rapid) !== 0
  const pose = new MotionPose(sampleKinematics, toolpath, [GAUGE_LENGTH])
  pose.begin(index - 1)
  pose.at(1)
  const axis: Point = [pose.ax, pose.ay, pose.az]
  const tilt = rapid ? 0 : TILT
  return {
    line,
    text: `N${line * 10} ${rapid ? 'G0' : 'G1'} X${x.toFixed(3)} Y${y.toFixed(3)} Z${z.toFixed(3)} A${(-tilt * 180 / Math.PI).toFixed(3)}`,
    pose: { point: [x, y, z], axis, rotary: [{ letter: 'A', degrees: -tilt * 180 / Math.PI }, { letter: 'C', degrees: Math.atan2(x, -y) * 180 / Math.PI }] },
    tool: 0,
    toolNumber: 3,
    rapid,
    clearances: [
      { component: 'cutter', value: -0.031, bound: 0.001 }, { component: 'neck', value: -0.042, bound: 0.001 },
      { component: 'shank', value: 0.118, bound: 0.001 }, { component: 'holder', value: 5, bound: 0, beyond: true },
    ],
  }
}

function sampleFindings(path: Path): SceneFinding[] {
  const at = (share: number): Point => {
    const i = Math.round(3 + share * (path.flags.length - 7)) * 3
    return [path.positions[i], path.positions[i + 1], path.positions[i + 2]]
  }
  const line = (share: number) => 11 + Math.round(3 + share * (path.flags.length - 7))
  return [
    { rule: 'missing-decimal-point', level: 'warning', message: 'Z12 has no decimal point; it is read as 12 mm.', firstLine: 5, lastLine: 5, line: 5 },
    { rule: 'gouge', level: 'error', message: 'The cutter of T3 goes 0.031 ± 0.001 mm below the surface of the part; 0.010 mm is allowed.', firstLine: line(0.3), lastLine: line(0.32), line: line(0.31), point: at(0.31), contact: { component: 'cutter', against: 'part', depth: 0.031, bound: 0.001, allowed: 0.01, toolPoint: at(0.31), toolAxis: [0, 0, 1] } },
    { rule: 'holder-clearance', level: 'warning', message: 'The holder of T3 comes within 0.402 ± 0.001 mm of the lip; 1.000 mm is asked for.', firstLine: line(0.05), lastLine: line(0.05), line: line(0.05), point: at(0.05), open: true, contact: { component: 'holder', against: 'part', clearance: 0.402, bound: 0.001, allowed: 1, toolPoint: at(0.05), toolAxis: [0, 0, 1] } },
    { rule: 'shank-clearance', level: 'warning', message: 'The shank of T3 comes within 0.118 ± 0.001 mm of the part; 0.150 mm is asked for.', firstLine: line(0.6), lastLine: line(0.61), line: line(0.6), point: at(0.6), waiver: 'CORK PAD ONLY, 2026-03' },
    { rule: 'centre-of-ball-cutting', level: 'note', message: 'The contact lies at the dead centre of the ball, where nothing moves past the work.', firstLine: line(0.12), lastLine: line(0.2), line: line(0.16), point: at(0.16) },
  ]
}
