import type { Point } from '../../shared/finding.ts'
import { PathFlag } from '../../shared/protocol/server-messages.ts'
import type { PoseAnswer, SceneDescription, SceneFinding, ToolOutline } from '../../shared/protocol/server-messages.ts'

// A scene for the page's tests: a throat with a bumpy, overhanging lip, a ball cutter winding down
// its wall, and a few findings. Made by formulas, so that any number of triangles can be asked for.

export interface SampleScene {
  readonly description: SceneDescription
  readonly buffers: ReadonlyMap<string, Uint8Array>
  readonly pose: (line: number) => PoseAnswer
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
  const bytes = (array: Float32Array | Uint32Array | Uint8Array) => new Uint8Array(array.buffer, array.byteOffset, array.byteLength)
  const description: SceneDescription = {
    uri: 'file:///sample/inlet.nc',
    version: edition,
    unit: 1,
    part: { name: 'inlet.stl', triangles: corners.length / 9, positions: 'part', min: [-42, -42, -46], max: [42, 42, 7] },
    path: { vertices: path.flags.length, positions: `path-${edition}`, lines: `lines-${edition}`, flags: `flags-${edition}` },
    tools: [ballTool],
    findings: sampleFindings(path),
    notes: [],
  }
  return {
    description,
    buffers: new Map([
      ['part', bytes(corners)], [`path-${edition}`, bytes(path.positions)],
      [`lines-${edition}`, bytes(path.lines)], [`flags-${edition}`, bytes(path.flags)],
    ]),
    pose: line => poseAt(path, line),
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
  put(2, [0, 0, 12], true)
  for (let i = 3; i < segments - 1; i++) {
    const t = (i - 3) / (segments - 5)
    put(i, wallPoint(0.47 + 0.5 * t, t * turns * 2 * Math.PI), false)
  }
  put(segments - 1, [0, 0, -30], false)
  put(segments, [0, 0, 70], true)
  return { positions, lines, flags }
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

function poseAt(path: Path, line: number): PoseAnswer {
  let index = -1
  for (let i = 0; i < path.lines.length; i++) {
    if (path.lines[i] <= line) index = i
  }
  if (index < 0) return { line, text: '(INLET, FINISHING)', toolNumber: 3 }
  const [x, y, z] = path.positions.slice(index * 3, index * 3 + 3)
  const rapid = (path.flags[index] & PathFlag.rapid) !== 0
  const tilt = rapid ? 0 : 0.22
  const radius = Math.hypot(x, y) || 1
  const axis: Point = [-x / radius * Math.sin(tilt), -y / radius * Math.sin(tilt), Math.cos(tilt)]
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
    { rule: 'gouge', level: 'error', message: 'The cutter of T3 goes 0.031 ± 0.001 mm below the surface of the part; 0.010 mm is allowed.', firstLine: line(0.3), lastLine: line(0.32), line: line(0.31), point: at(0.31) },
    { rule: 'holder-clearance', level: 'warning', message: 'The holder of T3 comes within 0.402 ± 0.001 mm of the lip; 1.000 mm is asked for.', firstLine: line(0.05), lastLine: line(0.05), line: line(0.05), point: at(0.05), open: true },
    { rule: 'shank-clearance', level: 'warning', message: 'The shank of T3 comes within 0.118 ± 0.001 mm of the part; 0.150 mm is asked for.', firstLine: line(0.6), lastLine: line(0.61), line: line(0.6), point: at(0.6), waiver: 'CORK PAD ONLY, 2026-03' },
    { rule: 'centre-of-ball-cutting', level: 'note', message: 'The contact lies at the dead centre of the ball, where nothing moves past the work.', firstLine: line(0.12), lastLine: line(0.2), line: line(0.16), point: at(0.16) },
  ]
}
