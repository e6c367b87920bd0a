import type { LineNames } from './contact/contact-problems.ts'
import { LineWords } from './lint/line-words.ts'
import type { Scene } from './open-scene.ts'
import type { ReadProgram } from './read-program.ts'

/** Blocks as messages mark and name them: from the first word after N to the last. */
export function lineNames(program: ReadProgram, scene: Scene): LineNames {
  const words = new LineWords(program.text, scene.machine, program.lineStarts)
  const { text, lineStarts } = program
  return {
    name: line => words.name(line),
    span: line => {
      const start = lineStarts[line] ?? 0, end = lineStarts[line + 1] ?? text.length
      const whole = text.slice(start, end)
      const number = /^\s*\/?\s*(?:N\s*\d+\s*)?/i.exec(whole)?.[0].length ?? 0
      const code = whole.replace(/(?:\([^)]*\)|;.*)?\s*$/s, '').trimEnd()
      return code.length > number ? { start: start + number, end: start + code.length } : { start, end: start + whole.trimEnd().length }
    },
  }
}
