import type { PathPoint } from './ball-path.ts'
import type { Vector } from './tool-axis.ts'
import { rotaryWords } from './tool-axis.ts'

/** Distances up the tool's axis from the cut, mm: clear of the casting, above its mouth, just off the wall. */
const clear = 90
const above = 45
const off = 2

/** Feeds, mm/min. */
const approachFeed = 1500
const contactFeed = 400
const cuttingFeed = 900
const retractFeed = 2000

const header = `%
O2140 (CAST DUCT, THROAT FINISH)
(TOOL 3 BALL 4, NECK 3.7, SHANK 6, STICK-OUT 38)
(H3 IS TO THE BALL CENTRE, BALL CENTRE IS PROGRAMMED)
(G54 MIDDLE OF MOUTH, TOP OF LIP, A0 C0)
`

/** The whole program: start state, tool, approach down the axis, the passes, retract, home. */
export function programText(passes: readonly (readonly PathPoint[])[]): string {
  const writer = new BlockWriter(header)
  const firstPass = passes[0], lastPass = passes[passes.length - 1]
  const first = firstPass[0], last = lastPass[lastPass.length - 1]
  writer.block('G21 G17 G90 G94')
  writer.block('G40 G49 G80')
  writer.block('G54')
  writer.block('T3 M6')
  writer.block('S16000 M3')
  writer.move('G0', { axis: first.axis })
  writer.move('G43.4 H3', { centre: along(first, clear) })
  writer.block('M8')
  writer.move('G0', { centre: along(first, above) })
  writer.move('G1', { centre: along(first, off) }, approachFeed)
  writer.move('', first, contactFeed)
  passes.forEach((pass, number) => {
    writer.comment(`PASS ${number + 1} ${number % 2 === 0 ? 'DOWN' : 'UP'}`)
    pass.forEach((point, index) => {
      if (number > 0 || index > 0) writer.move('', point, number === 0 && index === 1 ? cuttingFeed : undefined)
    })
  })
  writer.comment('RETRACT')
  writer.move('G1', { centre: along(last, off) }, approachFeed)
  writer.move('', { centre: along(last, above) }, retractFeed)
  writer.move('G0', { centre: along(last, clear) })
  writer.block('G49 M9')
  writer.block('M5')
  writer.block('G53 G0 Z0.')
  writer.block('G53 G0 X0. Y0. A0. C0.')
  writer.block('M30')
  return writer.finish()
}

function along(from: PathPoint, distance: number): Vector {
  const { centre, axis } = from
  return [centre[0] + distance * axis[0], centre[1] + distance * axis[1], centre[2] + distance * axis[2]]
}

/** Writes blocks numbered in tens; a word that has not changed is not written again. */
class BlockWriter {
  #text: string
  #number = 10
  readonly #words = new Map<string, string>()

  constructor(head: string) { this.#text = head }

  block(words: string): void {
    this.#text += `N${this.#number} ${words}\n`
    this.#number += 10
  }

  comment(says: string): void { this.#text += `(${says})\n` }

  move(code: string, to: { readonly centre?: Vector, readonly axis?: Vector }, feed?: number): void {
    const words = code === '' ? [] : [code]
    const put = (letter: string, value: number) => {
      const word = letter + decimal(value)
      if (this.#words.get(letter) === word) return
      this.#words.set(letter, word)
      words.push(word)
    }
    if (to.centre !== undefined) {
      put('X', to.centre[0])
      put('Y', to.centre[1])
      put('Z', to.centre[2])
    }
    if (to.axis !== undefined) {
      const { a, c } = rotaryWords(to.axis)
      put('A', a)
      put('C', c)
    }
    if (feed !== undefined) put('F', feed)
    this.block(words.join(' '))
  }

  finish(): string { return `${this.#text}%\n` }
}

/** Three places, without idle zeros, always with its point: 12.06, -7., 0. */
function decimal(value: number): string {
  const text = value.toFixed(3).replace(/0+$/, '')
  return text === '-0.' ? '0.' : text
}
