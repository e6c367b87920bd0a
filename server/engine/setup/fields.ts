import type { Problem } from '../../../shared/problem.ts'
import type { Triple } from '../../../shared/setup.ts'
import type { Span } from '../../../shared/span.ts'
import type { JsonMember, JsonNode, JsonObject } from './json-tree.ts'
import { nearestWord } from './nearest-word.ts'

// Reads one object of a sheet key by key. Whatever does not fit becomes one problem at its own
// place and reads as absent, so that the rest of the sheet is still used.

/** What is collected while a file is read. */
export class SheetNotes {
  readonly problems: Problem[] = []
  /** Places of the known keys' values, by dotted name. */
  readonly spans: Record<string, Span> = {}
  readonly path: string
  /** Millimetres for one length unit of the file. */
  unit = 1

  constructor(path: string) {
    this.path = path
  }

  get unitName(): string { return this.unit === 1 ? 'mm' : 'inch' }

  say(span: Span, message: string, rest: Pick<Problem, 'level'> & { rule?: string } = {}): void {
    if (this.flooded) return
    this.problems.push({ rule: 'setup-error', file: this.path, span, message, ...rest })
    if (this.flooded) this.problems.push({ rule: 'setup-error', file: this.path, span, message: `The file has more than ${MOST_PROBLEMS} faults; those after this place are not listed.` })
  }

  get flooded(): boolean { return this.problems.length >= MOST_PROBLEMS }
}

/** Nobody reads more; a file that has them is not a sheet. */
const MOST_PROBLEMS = 500

/** What a number must be. Limits are in the file's own unit, as the user wrote it. */
export interface NumberWanted {
  readonly above?: number
  readonly min?: number
  readonly below?: number
  readonly max?: number
  readonly whole?: boolean
  /** What to write when the key is missing; absent: the key may be. */
  readonly need?: string
}

interface Wanted { readonly need?: string }

/** Beyond any machine or part; keeps later arithmetic far from overflow. */
const LARGEST = 1e9

export class Fields {
  readonly notes: SheetNotes
  readonly node: JsonObject
  /** How a message calls the object: `the cutter of tool 3`. */
  readonly name: string
  readonly dotted: string
  readonly #members = new Map<string, JsonMember>()

  /** `known`: the keys it may hold; absent: any, the caller looks at each. */
  constructor(notes: SheetNotes, node: JsonObject, name: string, dotted: string, known?: readonly string[]) {
    this.notes = notes
    this.node = node
    this.name = name
    this.dotted = dotted
    for (const member of node.members) {
      if (known !== undefined && !known.includes(member.key)) this.#sayUnknown(member, known)
      else if (this.#members.has(member.key)) notes.say(member.keySpan, `"${member.key}" stands twice in ${name}; keep one of the two.`)
      else {
        this.#members.set(member.key, member)
        notes.spans[dotted === '' ? member.key : `${dotted}.${member.key}`] = member.value.span
      }
    }
  }

  get keys(): readonly string[] { return [...this.#members.keys()] }

  has(key: string): boolean { return this.#members.has(key) }

  /** The value's place; the opening brace of the object where the key is absent. */
  spanOf(key: string): Span {
    return this.#members.get(key)?.value.span ?? this.opening
  }

  keySpanOf(key: string): Span {
    return this.#members.get(key)?.keySpan ?? this.opening
  }

  get opening(): Span {
    return { start: this.node.span.start, end: this.node.span.start + 1 }
  }

  /** Whether a fault was found inside the object: what it describes is then better left out than taken half. */
  get hasFault(): boolean {
    const { start, end } = this.node.span
    return this.notes.flooded || this.notes.problems.some(({ rule, span }) => rule === 'setup-error' && span.start >= start && span.end <= end)
  }

  value(key: string, wanted: Wanted = {}): JsonNode | undefined {
    const member = this.#members.get(key)
    if (member === undefined && wanted.need !== undefined) this.sayMissing(key, wanted.need)
    return member?.value
  }

  sayMissing(key: string, write: string): void {
    this.notes.say(this.opening, `${capital(this.name)} has no "${key}"; write ${write}.`)
  }

  /** Says that a value does not fit, with the value as it stands. */
  sayValue(key: string, node: JsonNode, want: string): undefined {
    // A sheet that was started from a program holds null where only people know the value.
    this.notes.say(node.span, `"${key}" of ${this.name} is ${node.kind === 'null' ? 'still to be filled in' : shown(node)}; ${want}.`)
    return undefined
  }

  number(key: string, wanted: NumberWanted = {}): number | undefined {
    const node = this.value(key, wanted)
    return node === undefined ? undefined : this.numberIn(key, node, wanted)
  }

  numberIn(key: string, node: JsonNode, wanted: NumberWanted = {}): number | undefined {
    if (node.kind === 'string' && node.value.trim() !== '' && Number.isFinite(Number(node.value))) {
      return this.sayValue(key, node, `write it without quotes: ${Number(node.value)}`)
    }
    const limits = limitWords(wanted)
    if (node.kind !== 'number') return this.sayValue(key, node, `write a ${wanted.whole === true ? 'whole ' : ''}number${limits}`)
    const n = node.value
    const fits = Number.isFinite(n) && Math.abs(n) <= LARGEST
      && (wanted.above === undefined || n > wanted.above) && (wanted.min === undefined || n >= wanted.min)
      && (wanted.below === undefined || n < wanted.below) && (wanted.max === undefined || n <= wanted.max)
      && (wanted.whole !== true || Number.isInteger(n))
    if (fits) return n
    return this.sayValue(key, node, `write a ${wanted.whole === true ? 'whole ' : ''}number${limits === '' ? ` between -${LARGEST} and ${LARGEST}` : limits}`)
  }

  /** A length in mm. */
  length(key: string, wanted: NumberWanted = {}): number | undefined {
    const n = this.number(key, wanted)
    return n === undefined ? undefined : n * this.notes.unit
  }

  /** An angle in radians. */
  angle(key: string, wanted: NumberWanted = {}): number | undefined {
    const n = this.number(key, wanted)
    return n === undefined ? undefined : radians(n)
  }

  text(key: string, wanted: Wanted = {}): string | undefined {
    const node = this.value(key, wanted)
    if (node === undefined) return undefined
    if (node.kind !== 'string' || node.value.trim() === '') return this.sayValue(key, node, 'write a text in double quotes')
    return node.value
  }

  flag(key: string): boolean | undefined {
    const node = this.value(key)
    if (node === undefined) return undefined
    return node.kind === 'boolean' ? node.value : this.sayValue(key, node, 'write true or false, without quotes')
  }

  choice<T extends string>(key: string, choices: readonly T[], wanted: Wanted = {}): T | undefined {
    const node = this.value(key, wanted)
    if (node === undefined) return undefined
    return this.choiceIn(key, node, choices)
  }

  choiceIn<T extends string>(key: string, node: JsonNode, choices: readonly T[]): T | undefined {
    const found = node.kind === 'string' ? choices.find(choice => choice === node.value) : undefined
    if (found !== undefined) return found
    const list = choices.map(choice => `"${choice}"`).join(' or ')
    const near = node.kind === 'string' ? nearestWord(node.value, choices) : undefined
    return this.sayValue(key, node, `write ${list}${near !== undefined && near.slips < 3 && choices.length > 2 ? ` (nearest: "${near.word}")` : ''}`)
  }

  /** Three numbers, each times `factor`. */
  triple(key: string, factor: number, wanted: Wanted = {}): Triple | undefined {
    const node = this.value(key, wanted)
    if (node === undefined) return undefined
    const items = node.kind === 'array' ? node.items : []
    const numbers = items.flatMap(item => item.kind === 'number' && Math.abs(item.value) <= LARGEST ? [item.value * factor] : [])
    const [x, y, z] = numbers
    if (items.length !== 3 || x === undefined || y === undefined || z === undefined) {
      return this.sayValue(key, node, 'write three numbers in brackets, for example [0, 0, 0]')
    }
    return [x, y, z]
  }

  list(key: string, what: string, wanted: Wanted = {}): readonly JsonNode[] | undefined {
    const node = this.value(key, wanted)
    if (node === undefined) return undefined
    return node.kind === 'array' ? node.items : this.sayValue(key, node, `write a list in brackets: ${what}`)
  }

  texts(key: string, what: string): readonly string[] | undefined {
    return this.list(key, what)?.flatMap(item => {
      if (item.kind === 'string' && item.value.trim() !== '') return [item.value]
      this.sayValue(key, item, `each entry of the list is a text in double quotes: ${what}`)
      return []
    })
  }

  object(key: string, name: string, known?: readonly string[], wanted: Wanted = {}): Fields | undefined {
    const node = this.value(key, wanted)
    if (node === undefined) return undefined
    return this.objectIn(key, node, name, this.dotted === '' ? key : `${this.dotted}.${key}`, known)
  }

  objectIn(key: string, node: JsonNode, name: string, dotted: string, known?: readonly string[]): Fields | undefined {
    if (node.kind !== 'object') {
      return this.sayValue(key, node, known === undefined ? 'write an object in braces { }' : `write an object in braces with ${keyList(known)}`)
    }
    return new Fields(this.notes, node, name, dotted, known)
  }

  /** Each object of a list, with its index. */
  objects(key: string, nameOf: (index: number) => string, known?: readonly string[]): readonly Fields[] {
    const items = this.list(key, 'objects in braces') ?? []
    const dotted = this.dotted === '' ? key : `${this.dotted}.${key}`
    return items.flatMap((item, i) => this.objectIn(key, item, nameOf(i), `${dotted}.${i}`, known) ?? [])
  }

  #sayUnknown(member: JsonMember, known: readonly string[]): void {
    if (this.notes.flooded) return
    const near = nearestWord(member.key, known)
    const needsList = near === undefined || near.slips > 3 || known.length <= 6
    const all = needsList ? ` It may hold ${keyList(known)}.` : ''
    const word = near === undefined ? '' : `; the nearest known key is "${near.word}"`
    this.notes.say(member.keySpan, `"${clip(member.key)}" is not a key of ${this.name}${word}.${all}`)
  }
}

export function radians(degrees: number): number {
  return degrees * (Math.PI / 180)
}

/** A value as the user wrote it, cut short. */
export function shown(node: JsonNode): string {
  switch (node.kind) {
    case 'string': return `"${clip(node.value)}"`
    case 'number':
    case 'boolean': return String(node.value)
    case 'null': return 'null'
    case 'array': return `a list of ${node.items.length}`
    case 'object': return 'an object'
  }
}

export function clip(text: string): string {
  const line = text.replace(/\s+/g, ' ')
  return line.length > 40 ? `${line.slice(0, 39)}…` : line
}

function keyList(known: readonly string[]): string {
  return known.map(key => `"${key}"`).join(', ')
}

function capital(text: string): string {
  return text.slice(0, 1).toUpperCase() + text.slice(1)
}

function limitWords(wanted: NumberWanted): string {
  const words: string[] = []
  if (wanted.above !== undefined) words.push(`above ${wanted.above}`)
  if (wanted.min !== undefined) words.push(`of ${wanted.min} or more`)
  if (wanted.below !== undefined) words.push(`below ${wanted.below}`)
  if (wanted.max !== undefined) words.push(`of at most ${wanted.max}`)
  return words.length === 0 ? '' : ` ${words.join(' and ')}`
}
