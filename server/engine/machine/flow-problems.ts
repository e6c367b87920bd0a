import type { Problem } from '../../../shared/problem.ts'

// Every wording about jumps, loops, calls and stored values.

const count = (n: number) => n.toLocaleString('en-US')

export const flowProblems = {
  noSuchBlock: (number: number) => ({
    rule: 'missing-target', message: `N${number} is not in this program: the jump has no target. The next block of the text is taken.` }),
  noSuchLoop: (word: string, other: string) => ({
    rule: 'missing-target', message: `${word} has no ${other} in this program. The next block of the text is taken.` }),
  noSuchProgram: (number: number) => ({
    rule: 'missing-target', message: `Program O${number} is neither in this text nor a file beside it. Where the axes stand behind the call is not known; motion is not checked until each axis has been given a value again.` }),
  unreadableProgram: (number: number, failure: string) => ({
    rule: 'missing-target', message: `Program O${number} cannot be run: ${failure} Where the axes stand behind the call is not known; motion is not checked until each axis has been given a value again.` }),
  callWithoutNumber: (code: string) => ({
    rule: 'missing-target', message: `${code} names no program: P gives its number. The call is left out.` }),
  unknownProgram: (code: string) => ({
    rule: 'not-checked', message: `${code} calls a program whose number is not known here. Where the axes stand behind it is not known.` }),
  doubleTarget: (number: number) => ({
    rule: 'duplicate-sequence-number', level: 'error' as const, message: `The jump goes to N${number}, which stands in this program twice. The first one is taken; a control may take the next.` }),
  endlessLoop: (blocks: number) => ({
    rule: 'endless-loop', message: `Nothing that decides about this jump has changed since it was last taken (${count(blocks)} blocks ago): the loop never ends. It is left here; the blocks behind it are checked.` }),
  tooManyRepeats: (limit: number) => ({
    rule: 'endless-loop', message: `More than ${count(limit)} blocks have been run again by loops and calls. The loop is left here; the blocks behind it are checked.` }),
  callTooDeep: (depth: number) => ({
    rule: 'call-too-deep', message: `Calls stand ${depth} deep in each other here, and the control takes no more. The call is left out; where the axes stand behind it is not known.` }),
  jumpedOver: (blocks: number) => ({
    rule: 'unreachable-block', message: `The block before always jumps, and nothing leads here: ${blocks === 1 ? 'this block is' : `${count(blocks)} blocks from here on are`} never run.` }),
  notStored: (name: string) => ({
    rule: 'bad-expression', message: `${name} cannot be set on this control. The value is left out.` }),
} as const satisfies Record<string, (...values: never[]) => Pick<Problem, 'rule' | 'message' | 'level'>>
