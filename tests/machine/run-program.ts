import { buildKinematics } from '../../shared/kinematics.ts'
import type { Axis, Control, Machine } from '../../shared/machine.ts'
import type { Problem } from '../../shared/problem.ts'
import type { Setup, Tool, Triple } from '../../shared/setup.ts'
import { ARC_STRIDE, MotionFlag, MotionKind } from '../../shared/toolpath.ts'
import { interpret } from '../../server/engine/machine/interpreter.ts'
import type { InterpretedBlock, Interpretation } from '../../server/engine/machine/interpreter.ts'

/** A machine as a test wants it; a five-axis table-table one with simple rates where nothing is said. */
export interface MachineWish {
  readonly axes?: string
  readonly home?: readonly number[] | undefined
  readonly secondHome?: readonly number[]
  readonly control?: Partial<Control>
}

export interface RunWish extends MachineWish {
  readonly setup?: Partial<Setup>
  /** Files by the number of their program. */
  readonly files?: Readonly<Record<number, string>>
}

export interface Run extends Interpretation {
  readonly problems: readonly Problem[]
  /** `rule "text"` for each problem, in the order they were told. */
  readonly told: readonly string[]
  /** One string a motion: `3 line X10 Y-2 1.5s`: 1-based line, kind, joints that moved (degrees), seconds. */
  readonly motions: readonly string[]
}

export const degree = Math.PI / 180

const control: Control = {
  inch: ['G20', 'G70'], metric: ['G21', 'G71'], toolCentreOn: ['G43.4'], toolVectorOn: ['G43.5'], toolCentreOff: ['G49'],
  tiltedPlaneOn: ['G68.2'], orientTool: ['G53.1'], tiltedPlaneOff: ['G69'], inverseTime: 'per-minute',
  dwell: { P: 'milliseconds', X: 'seconds' }, wholeNumber: { as: 'units' }, arcCentre: 'incremental', rotaryTravel: {},
  rapid: 'each-axis', neutral: [], define: {},
}

/** Rotary axes turn by the right-hand rule in the table, A carries C; rates 100 mm/s and 90 degrees/s. */
export function testMachine(wish: MachineWish = {}): Machine {
  const letters = [...(wish.axes ?? 'XYZAC')]
  const directions: Record<string, Triple> = { X: [1, 0, 0], Y: [0, 1, 0], Z: [0, 0, 1], A: [1, 0, 0], B: [0, 1, 0], C: [0, 0, 1], U: [1, 0, 0] }
  const axes = letters.map((letter): Axis => 'ABC'.includes(letter)
    ? { letter, kind: 'rotary', direction: directions[letter], through: [0, 0, letter === 'C' ? 0 : -50], rapid: 90 * degree }
    : { letter, kind: 'linear', direction: directions[letter], through: [0, 0, 0], rapid: 100 })
  const index = (kind: string) => axes.flatMap((axis, joint) => axis.kind === kind ? [joint] : [])
  return {
    name: 'test machine', axes, table: index('rotary'), head: index('linear'), spindle: { gauge: [0, 0, 0], axis: [0, 0, 1] },
    home: 'home' in wish ? wish.home : letters.map(() => 0), ...wish.secondHome === undefined ? {} : { secondHome: wish.secondHome }, control: { ...control, ...wish.control },
  }
}

export function testTool(number: number, length: number, more: Partial<Tool> = {}): Tool {
  return {
    number, name: `ball ${number}`, cutter: { shape: 'ball', DC: 4, LCF: 6 }, LPR: length, holder: [], centreCutting: true, point: 'tip',
    lengthOffset: number, span: { start: 0, end: 0 }, ...more,
  }
}

export function testSetup(wish: Partial<Setup>): Setup {
  return {
    path: 'test.setup.json', unit: 1, programs: [], baseOffset: 'G54', offsets: { G54: {} }, fixtures: [], barriers: [],
    limits: { gouge: 0.01, stockToLeave: 0, clearance: { neck: 0, shank: 0, holder: 0, head: 0, rapid: 0 }, leftover: 1, axisStep: 1 },
    passes: [], tools: [], spans: {}, ...wish,
  }
}

/** Runs a program; without `setup` none is there. */
export function run(text: string, wish: RunWish = {}, onBlock?: (step: InterpretedBlock) => void): Run {
  const machine = testMachine(wish)
  const setup = wish.setup === undefined ? undefined : testSetup(wish.setup)
  const base = machine.axes.map(axis => setup?.offsets[setup.baseOffset]?.[axis.letter] ?? 0)
  const problems: Problem[] = []
  const kinematics = buildKinematics(machine, base)
  const result = interpret(text, { machine, setup, kinematics, report: problem => problems.push(problem), onBlock, programs: number => fileOf(wish, number) })
  return { ...result, problems, told: problems.map(({ rule, span }) => `${rule} "${text.slice(span.start, span.end)}"`), motions: printMotions(result, machine) }
}

function fileOf(wish: RunWish, number: number): { path: string, text: string } | undefined {
  const text = wish.files?.[number]
  return text === undefined ? undefined : { path: `O${number}.nc`, text }
}

/** Five decimals, without trailing noughts. */
export function short(value: number): string {
  const text = value.toFixed(5).replace(/\.?0+$/, '')
  return text === '-0' ? '0' : text
}

function printMotions(result: Interpretation, machine: Machine): string[] {
  const { toolpath } = result, width = toolpath.axes.length
  const names: Record<number, string> = { [MotionKind.joints]: 'joints', [MotionKind.toolLine]: 'tool', [MotionKind.jointArc]: 'joint-arc', [MotionKind.toolArc]: 'tool-arc' }
  return Array.from({ length: toolpath.count }, (_, i) => {
    const flags = toolpath.flags[i]
    const kind = names[toolpath.kind[i]] + ((flags & MotionFlag.rapid) !== 0 ? '-rapid' : '') + ((flags & MotionFlag.unknownStart) !== 0 ? '?' : '')
    const moved = toolpath.axes.flatMap((letter, j) => {
      const from = toolpath.joints[i * width + j], to = toolpath.joints[(i + 1) * width + j]
      if (Math.abs(to - from) <= 1e-9) return []
      return [`${letter}${Number.isNaN(to) ? '?' : short(machine.axes[j].kind === 'rotary' ? to / degree : to)}`]
    })
    return [toolpath.line[i] + 1, kind, ...moved, `${short(toolpath.seconds[i])}s`].join(' ')
  })
}

/** The arc record of a motion, rounded. */
export function arcOf(result: Interpretation, motion: number): { centre: number[], u: number[], v: number[], sweep: number, r0: number, r1: number } {
  const at = result.toolpath.arcOf[motion] * ARC_STRIDE
  const a = [...result.toolpath.arcs.slice(at, at + ARC_STRIDE)].map(value => Math.round(value * 1e6) / 1e6 + 0)
  return { centre: a.slice(0, 3), u: a.slice(3, 6), v: a.slice(6, 9), sweep: a[9], r0: a[10], r1: a[11] }
}
