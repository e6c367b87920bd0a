import type { Problem } from '../../../shared/problem.ts'
import { figure } from './interpretation-problems.ts'

// Wordings about the direction of the tool and the tilted working plane.

const blocks = (count: number) => count === 1 ? '1 block' : `${count.toLocaleString('en-US')} blocks`
const degrees = (radians: number) => `${figure(radians * 180 / Math.PI, 3)}°`
const direction = (v: ArrayLike<number>) => `(${[0, 1, 2].map(n => figure(v[n] ?? 0)).join(', ')})`

export const fiveAxisProblems = {
  outOfReach: (asked: ArrayLike<number>, nearest: ArrayLike<number>, miss: number, machine: string, count: number) => ({
    rule: 'travel-limit', message: `The machine "${machine}" cannot turn the tool into the direction ${direction(asked)} asked for (${blocks(count)}): the nearest it reaches is ${direction(nearest)}, ${degrees(miss)} off. The motion is not checked.` }),
  noDirection: (count: number) => ({
    rule: 'not-checked', message: `I J K of this block give no direction for the tool (${blocks(count)}). Its motion is not checked.` }),
  tooManyRotary: (machine: string, count: number) => ({
    rule: 'not-checked', message: `The machine "${machine}" has more than two rotary axes: which of them turn the tool is not known (${blocks(count)}). The motion is not checked.` }),
  vectorAndAngles: (letters: string) => ({
    rule: 'modal-conflict', message: `I J K and ${letters} both give the direction of the tool. I J K are followed.` }),
  noPlane: (form: 'points' | 'vectors', count: number) => ({
    rule: 'not-checked', message: `${form === 'points' ? 'The three points lie on one line' : 'X direction and normal point the same way, or one of them nowhere'}: they lay no plane (${blocks(count)}). Motion is not checked until a plane is laid or ended.` }),
  planeNotLaid: (lacking: string) => ({
    rule: 'not-checked', message: `The tilted plane is not laid yet: ${lacking} of it is lacking. This motion and what follows is not checked.` }),
  orientWithoutPlane: (code: string) => ({
    rule: 'modal-conflict', message: `${code} turns the tool square to the tilted plane, but no tilted plane is in force. It is left out.` }),
  unknownOrientation: (code: string, word: string, known: string) => ({
    rule: 'not-checked', message: `What ${word} asks of ${code} is not known (${known}). The nearer of the two ways to turn the tool is simulated.` }),
  shiftInPlane: (code: string) => ({
    rule: 'not-checked', message: `${code} in a tilted plane: where program zero then lies is each control's own, and "tiltedPlaneShift" of the machine file does not say. Motion is not checked until the shift is taken back.` }),
  arcWithRotaryInPlane: (count: number) => ({
    rule: 'not-checked', message: `An arc of the tilted plane with rotary words and without tool-centre control (${blocks(count)}) is not simulated: the arc would not stay in its plane.` }),
} as const satisfies Record<string, (...values: never[]) => Pick<Problem, 'rule' | 'message'>>
