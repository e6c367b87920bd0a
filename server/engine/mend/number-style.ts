import type { Machine } from '../../../shared/machine.ts'
import { BlockReader } from '../nc/block-reader.ts'
import { countsIncrements } from '../nc/addresses.ts'

/** How a program writes the numbers behind one letter. */
interface LetterStyle {
  decimals: number
  /** How many numbers have how many decimals. */
  readonly places: number[]
  /** Numbers that end in a nought behind their point. */
  padded: number
  /** Some whole number ends in its point. */
  pointBehindWhole: boolean
  /** Some whole number has no point. */
  bareWhole: boolean
  /** Some number below one has no nought before its point. */
  noLeadingZero: boolean
  plus: boolean
  /** What stands between letter and number. */
  gap: string
}

/** Decimals for a letter that the program does not use: a micrometre, or a ten-thousandth of an inch. */
const usualDecimals = 3

/** How a program writes its words, so that words put in look like those that were there. */
export class NumberStyle {
  /** What stands between two words. */
  readonly between: string
  /** Words are written in small letters. */
  readonly #isSmall: boolean
  readonly #styles = new Map<string, LetterStyle>()
  readonly #increment: number | undefined

  constructor(text: string, machine: Machine) {
    const { wholeNumber } = machine.control
    this.#increment = wholeNumber.as === 'increments' ? wholeNumber.increment : undefined
    const reader = new BlockReader(text, { wholeNumber }, () => {})
    let apart = 0, together = 0, small = 0
    for (let block = reader.next(); block !== undefined; block = reader.next()) {
      for (let i = 0; i < block.count; i++) {
        const start = block.wordStart[i] ?? 0, end = block.wordEnd[i] ?? start
        if (i > 0) {
          if (start > (block.wordEnd[i - 1] ?? 0)) apart++
          else together++
        }
        const letter = String.fromCharCode(block.letters[i] ?? 32)
        small += /[a-z]/.test(text.charAt(start)) ? 1 : -1
        if ('XYZABCUVWIJKF'.includes(letter)) this.#see(letter, text.slice(start, end))
      }
    }
    this.between = apart >= together ? ' ' : ''
    this.#isSmall = small > 0
  }

  /** Decimals of a letter's numbers, in the unit the program counts in. */
  decimals(letter: string): number {
    const style = this.#styles.get(letter)
    // Numbers without a point that count increments have the increment's places.
    if (style !== undefined && style.decimals === 0 && this.#counts(letter)) return Math.round(-Math.log10(this.#increment ?? 1))
    return style === undefined || style.decimals === 0 && !'F'.includes(letter) ? Math.max(style?.decimals ?? 0, this.#likeOthers(letter)) : style.decimals
  }

  /** The word for a value in the program's unit, rounded to its decimals. */
  word(address: string, value: number): string {
    return this.#isSmall ? this.#word(address, value).toLowerCase() : this.#word(address, value)
  }

  #word(letter: string, value: number): string {
    const decimals = this.decimals(letter), style = this.#styles.get(letter)
    const sign = value < 0 && Number(value.toFixed(decimals)) !== 0 ? '-' : style?.plus === true ? '+' : ''
    const gap = style?.gap ?? ''
    if (style !== undefined && style.decimals === 0 && style.bareWhole && this.#counts(letter)) {
      return `${letter}${gap}${sign}${Math.round(Math.abs(value) / (this.#increment ?? 1))}`
    }
    let digits = Math.abs(value).toFixed(decimals)
    if (decimals === 0 && (style?.pointBehindWhole === true || style?.bareWhole !== true)) digits += '.'
    if ((style === undefined || dropsZeros(style)) && decimals > 0) {
      digits = digits.replace(/0+$/, '')
      // A whole number keeps its point unless this program writes such numbers without one and means the same by it.
      if (digits.endsWith('.') && style !== undefined && !style.pointBehindWhole && style.bareWhole && !this.#counts(letter)) digits = digits.slice(0, -1)
      else if (digits.endsWith('.') && style !== undefined && !style.pointBehindWhole && !style.bareWhole) digits += '0'
    }
    if (style?.noLeadingZero === true) digits = digits.replace(/^0(?=\.\d)/, '')
    return `${letter}${gap}${sign}${digits}`
  }

  /** What a whole number behind the letter counts, in the program's unit. */
  wholeOf(letter: string): number {
    return this.#counts(letter) ? this.#increment ?? 1 : 1
  }

  #counts(letter: string): boolean {
    return this.#increment !== undefined && countsIncrements(letter.charCodeAt(0))
  }

  /** Places of the other letters of its kind. */
  #likeOthers(letter: string): number {
    const kind = 'ABC'.includes(letter) ? 'ABC' : 'IJK'.includes(letter) ? 'IJK' : 'XYZUVW'
    const known = [...kind].map(each => this.#styles.get(each)?.decimals ?? 0)
    const most = Math.max(...known)
    return most > 0 ? most : usualDecimals
  }

  #see(letter: string, word: string): void {
    const match = /^[a-z](\s*)([+-]?)\s*(\d*)(\.?)(\d*)$/i.exec(word)
    if (match === null) return
    const [, gap = '', sign = '', whole = '', point = '', places = ''] = match
    const style = this.#styles.get(letter)
    const dropped = places.length
    if (style === undefined) {
      this.#styles.set(letter, {
        decimals: dropped, places: counted([], dropped), padded: dropped > 0 && word.endsWith('0') ? 1 : 0, pointBehindWhole: point !== '' && dropped === 0, bareWhole: point === '',
        noLeadingZero: whole === '' && dropped > 0, plus: sign === '+', gap,
      })
      return
    }
    counted(style.places, dropped)
    if (dropped > 0 && word.endsWith('0')) style.padded++
    style.decimals = Math.max(style.decimals, dropped)
    style.pointBehindWhole ||= point !== '' && dropped === 0
    style.bareWhole ||= point === ''
    style.noLeadingZero ||= whole === '' && dropped > 0
    style.plus ||= sign === '+'
  }
}

function counted(places: number[], decimals: number): number[] {
  places[decimals] = (places[decimals] ?? 0) + 1
  return places
}

/** Whether idle zeros are left out: more numbers are shorter than the longest than end in a nought. */
function dropsZeros({ places, decimals, padded }: LetterStyle): boolean {
  const shorter = places.reduce((sum, count, at) => at < decimals ? sum + count : sum, 0)
  return shorter >= padded
}
