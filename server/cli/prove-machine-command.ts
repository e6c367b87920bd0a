import { resolve } from 'node:path'
import type { Machine } from '../../shared/machine.ts'
import type { Triple } from '../../shared/setup.ts'
import { LARGEST_SHEET, readText } from '../edge/read-file.ts'
import { heldDirections, readMachine, touchedPlace, type HeldDirection, type TouchedPlace } from '../engine/service.ts'
import type { ProveMachineOptions } from './arguments.ts'
import { printable } from './code-frame.ts'
import { ExitCode } from './exit-codes.ts'
import type { Terminal } from './terminal.ts'

/** Directions of the tool that are looked at: upright, and leaned 30° to each side. */
const LEAN = Math.PI / 6
const directions: readonly { readonly name: string, readonly direction: Triple }[] = [
  { name: 'along the spindle\'s Z', direction: [0, 0, 1] },
  { name: 'leaned 30° toward +X', direction: [Math.sin(LEAN), 0, Math.cos(LEAN)] },
  { name: 'leaned 30° toward -X', direction: [-Math.sin(LEAN), 0, Math.cos(LEAN)] },
  { name: 'leaned 30° toward +Y', direction: [0, Math.sin(LEAN), Math.cos(LEAN)] },
  { name: 'leaned 30° toward -Y', direction: [0, -Math.sin(LEAN), Math.cos(LEAN)] },
]

/** Shows what a machine file says of the machine in values its own display can be held against, and judges touches of one place. */
export async function runProveMachine(options: ProveMachineOptions, terminal: Terminal): Promise<ExitCode> {
  const complain = async (sentence: string) => {
    await terminal.errors.write(`toolwake: ${sentence}\n`)
    return ExitCode.unusable
  }
  const { file, failure } = await readText(resolve(terminal.folder, options.machine), 'The machine file', LARGEST_SHEET)
  if (file === undefined) return complain((failure ?? '').replace(resolve(terminal.folder, options.machine), options.machine))
  const { machine, problems } = readMachine(file)
  if (machine === undefined) return complain(`${options.machine} cannot be used: ${problems[0]?.message ?? ''}`)
  const base = jointsOf(options.at ?? '', machine), touches = options.touches.map(words => jointsOf(words, machine))
  const wrong = [base, ...touches].find(joints => typeof joints === 'string')
  if (wrong !== undefined || typeof base === 'string') return complain(String(wrong))
  const held = heldDirections(machine, base, options.length, directions.map(({ direction }) => direction))
  const place = touches.length < 2 ? undefined : touchedPlace(machine, base, options.length, touches.filter(joints => typeof joints !== 'string'))
  const isApart = place !== undefined && place.spread > options.within
  await terminal.output.write([
    ...problems.map(({ message }) => `NOTE ${message}`),
    ...chainLines(machine),
    // Touches say by themselves whether they agree; values for the display mean nothing without program zero.
    ...options.at === undefined && touches.length > 0 ? [NO_ZERO] : heldLines(machine, base, options, held),
    ...touchLines(place, touches.length, machine, options), '',
  ].map(printable).join('\n'))
  return isApart || problems.length > 0 ? ExitCode.found : ExitCode.clean
}

/** Joint values written as words, `X10.5 A-30`: mm and degrees in machine coordinates; what is not named stands at 0. */
function jointsOf(written: string, { axes }: Machine): number[] | string {
  const joints = axes.map(() => 0)
  for (const word of written.split(/[\s,]+/).filter(text => text !== '')) {
    const letter = word.charAt(0).toUpperCase(), value = Number(word.slice(1)), at = axes.findIndex(axis => axis.letter === letter)
    if (at < 0) return `"${word}" names no axis of this machine; it has ${axes.map(axis => axis.letter).join(', ')}.`
    if (word.length < 2 || !Number.isFinite(value)) return `"${word}" is no axis with a number, as in ${letter}12.5.`
    joints[at] = axes[at]?.kind === 'rotary' ? value * Math.PI / 180 : value
  }
  return joints
}

/** Where touches are given without program zero. */
const NO_ZERO = '  Values for the machine\'s own display are left out: they need the axis values of program zero, --at "X.. Y.. Z..".'

function chainLines(machine: Machine): string[] {
  const chain = (joints: readonly number[]) => ['base', ...joints.map(joint => machine.axes[joint]?.letter ?? '')].join(' - ')
  return [
    `${machine.name}`,
    `  To the work: ${chain(machine.table)} - work. To the tool: ${chain(machine.head)} - spindle.`,
  ]
}

function heldLines(machine: Machine, base: readonly number[], { at, length }: ProveMachineOptions, held: readonly HeldDirection[]): string[] {
  return [
    ...at === undefined ? ['  Program zero was not given, so every axis at 0 stands for it; for that of your work give its axis values with --at "X.. Y.. Z..".'] : [],
    `  The tool point is held at program zero (${valuesOf(machine, base)}), ${length} mm from the gauge point. With tool-centre control`,
    '  on, the machine\'s own display must show one of the lines under each direction, mm and degrees, machine coordinates:',
    ...held.flatMap(({ miss, ways }, n) => [
      `  ${directions[n]?.name ?? ''}:${ways.length === 0 ? ` out of reach, by ${(miss * 180 / Math.PI).toFixed(3)}°` : ''}`,
      ...ways.map(({ joints, beyond, off }) => `    ${valuesOf(machine, joints)}${beyond.length === 0 ? '' : `   beyond the travel of ${beyond.join(', ')}`}${off < 1e-6 ? '' : '   the tool point does not stay'}`),
    ]),
  ]
}

function touchLines(place: TouchedPlace | undefined, touches: number, { axes, head }: Machine, { at, length, within }: ProveMachineOptions): string[] {
  if (touches === 1) return ['  One touch alone proves nothing: touch the same place again with the rotary axes in another position, and give each with a --touch of its own.']
  if (place === undefined) return ['  Nothing was measured: touch one place with the rotary axes in two positions or more, and give each with --touch.']
  const { points, spread, between } = place, turnsInHead = head.some(joint => axes[joint]?.kind === 'rotary')
  return [
    ...turnsInHead && length === 0 ? ['  The head turns, so the places depend on how far the point that touches lies from the gauge point: give it with --length. 0 mm was taken.'] : [],
    `  One place on the work, touched in several positions, by this file lies at (mm from ${at === undefined ? 'the place on the work under the tool point with every axis at 0; how far they lie apart does not depend on that' : 'program zero'}):`,
    ...points.map((point, n) => `    touch ${n + 1}: ${point.map(value => value.toFixed(4)).join('  ')}`),
    spread > within
      ? `  FILE AND MACHINE DIFFER: touches ${between[0] + 1} and ${between[1] + 1} lie ${spread.toFixed(4)} mm apart; ${within} mm is allowed. Look at the pivots ("through") and senses ("direction") of the axes that turned between them.`
      : `  They lie within ${spread.toFixed(4)} mm; ${within} mm is allowed. This shows nothing of axes that did not turn between the touches.`,
  ]
}

function valuesOf({ axes }: Machine, joints: readonly number[]): string {
  return axes.map(({ letter, kind }, n) => `${letter}${tidy((joints[n] ?? 0) * (kind === 'rotary' ? 180 / Math.PI : 1))}`).join(' ')
}

function tidy(value: number): string {
  const text = value.toFixed(4)
  return text === '-0.0000' ? '0.0000' : text
}
