import { chordCount, endOfStep, HOLLOW_TOLERANCE, widestRadius } from '../../../shared/cutter-outline.ts'
import type { Cutter, OutlineStep } from '../../../shared/setup.ts'
import { clash, show } from './cutter-fields.ts'
import type { Fields } from './fields.ts'
import type { JsonNode } from './json-tree.ts'
import { sheetKeys } from './keys.ts'
import { SAME_LENGTH } from './tolerance.ts'

// A turned outline: [radius, height] for a straight run to that place, or an arc to it of the given
// radius, less than half a turn, bulging outward unless it is hollow. It begins at the tip and its
// heights never fall, so that the body is solid at every height.

type Place = readonly [radius: number, height: number]

const MOST_POINTS = 500

/** Chords of one hollow arc; each is a piece of its own for the search. */
const MOST_CHORDS = 256

/** mm. An arc that begins or ends square to the axis may dip below its end by this: figures are written rounded. */
const DIP = 1e-5

/** How many mm half a chord may exceed the radius, for the same reason. */
const ROUNDED_RADIUS = 1e-3

const outlineWords = 'the points [radius, height] from the tip upward, for example "outline": [[0, 0], [3, 2], [3, 8]]'

export function readProfile(fields: Fields): Cutter | undefined {
  const items = fields.list('outline', outlineWords, { need: outlineWords })
  const LCF = fields.length('LCF', { above: 0 })
  if (items === undefined) return undefined
  if (items.length < 2) return clash(fields, 'outline', `its outline has ${items.length === 1 ? '1 point' : 'no points'}; write at least two`)
  if (items.length > MOST_POINTS) return clash(fields, 'outline', `its outline has ${items.length} points; at most ${MOST_POINTS} can be taken. Arcs need no more than their two ends`)
  const reader = new OutlineReader(fields)
  for (const [i, item] of items.entries()) if (!reader.take(item, i)) return undefined
  const outline = reader.steps, last = outline[outline.length - 1]
  const [top, height] = last === undefined ? [0, 0] : endOfStep(last)
  if (!(height > 0)) return clash(fields, 'outline', 'its outline has no height; it runs from the tip upward')
  if (!(top > 0)) return clash(fields, 'outline', 'its outline ends on the axis; the cutter goes on upward from its last point, so that has a radius')
  if (last?.kind === 'line' && last.from[1] === last.to[1] && last.to[0] > last.from[0]) return clash(fields, 'outline', 'its outline ends with a flat run outward, a disc without thickness; give it a wall, or end it before')
  if (LCF !== undefined && LCF > height + SAME_LENGTH) return clash(fields, 'LCF', `LCF ${show(fields, LCF)} is longer than its outline is high, ${show(fields, height)}`)
  return { shape: 'profile', outline, DC: 2 * widestRadius(outline), LCF: Math.min(LCF ?? height, height) }
}

class OutlineReader {
  readonly steps: OutlineStep[] = []
  readonly #fields: Fields
  #at: Place | undefined

  constructor(fields: Fields) {
    this.#fields = fields
  }

  /** Whether the entry fits; if not, that has been said. */
  take(item: JsonNode, index: number): boolean {
    if (item.kind !== 'object') return this.#line(item, index)
    const before = this.#at
    if (before === undefined) return this.#say(item, 'its outline begins with a point [radius, height], not with an arc')
    const arc = this.#fields.objectIn('outline', item, `arc ${index + 1} of the outline of ${this.#fields.name}`, `${this.#fields.dotted}.outline.${index}`, sheetKeys.profileArc)
    const to = arc?.value('to', { need: 'the point where the arc ends, for example "to": [3, 2]' })
    const radius = arc?.length('radius', { above: 0, need: 'its radius, for example "radius": 1.5' })
    const hollow = arc?.flag('hollow') ?? false
    if (to === undefined || radius === undefined) return false
    const place = this.#place(to)
    return place !== undefined && this.#arc(item, before, place, radius, hollow)
  }

  #line(item: JsonNode, index: number): boolean {
    const place = this.#place(item)
    if (place === undefined) return false
    const before = this.#at
    if (before === undefined) {
      if (Math.abs(place[1]) > SAME_LENGTH) return this.#say(item, `its outline begins at height ${this.#show(place[1])}; heights count from the tip, so the first point has height 0`)
      this.#at = [place[0], 0]
      return true
    }
    if (!this.#rises(item, before, place)) return false
    const last = this.steps[this.steps.length - 1]
    const turnsBack = last?.kind === 'line' && last.from[1] === last.to[1] && place[1] === before[1] && (last.to[0] - last.from[0]) * (place[0] - before[0]) < 0
    if (turnsBack) return this.#say(item, `point ${index + 1} of its outline goes back along the run before it at height ${this.#show(place[1])}; leave out the point between them`)
    this.steps.push({ kind: 'line', from: before, to: place })
    this.#at = place
    return true
  }

  #arc(item: JsonNode, from: Place, to: Place, given: number, hollow: boolean): boolean {
    if (!this.#rises(item, from, to)) return false
    const dr = to[0] - from[0], dh = to[1] - from[1], chord = Math.hypot(dr, dh)
    if (given < chord / 2 - ROUNDED_RADIUS) return this.#say(item, `an arc of radius ${this.#show(given)} does not reach from [${this.#pair(from)}] to [${this.#pair(to)}], which are ${this.#show(chord)} apart`)
    const radius = Math.max(given, chord / 2)
    // The centre lies to the left of the way up where the arc bulges outward, to the right where it is hollow.
    const side = hollow ? -1 : 1, off = side * Math.sqrt(Math.max(0, radius * radius - chord * chord / 4)) / chord
    const centre: Place = [(from[0] + to[0]) / 2 - off * dh, (from[1] + to[1]) / 2 + off * dr]
    const first = this.#angle(item, from, centre, radius, hollow), last = this.#angle(item, to, centre, radius, hollow)
    if (first === undefined || last === undefined) return false
    if (hollow) {
      if (first > Math.PI && last < Math.PI && centre[0] - radius <= 0) return this.#say(item, `the hollow arc of radius ${this.#show(radius)} cuts through the axis`)
      const chords = chordCount(radius, first - last)
      if (chords > MOST_CHORDS) return this.#say(item, `the hollow arc of radius ${this.#show(radius)} is too long to be followed within ${HOLLOW_TOLERANCE} mm: that takes ${chords} straight runs, and ${MOST_CHORDS} can be taken. Write it as points, each run on the side that holds the cutter`)
    }
    this.steps.push({ kind: 'arc', centre, radius, fromAngle: first, toAngle: last })
    this.#at = to
    return true
  }

  /** The place's angle about the centre; an arc that would run below or above its own ends is said. */
  #angle(item: JsonNode, place: Place, centre: Place, radius: number, hollow: boolean): number | undefined {
    // From the middle of the arc's allowed half turn: radially outward, or inward where it is hollow.
    const side = hollow ? -1 : 1
    const off = Math.atan2(side * (place[1] - centre[1]), side * (place[0] - centre[0]))
    const over = Math.abs(off) - Math.PI / 2
    if (over > 0 && radius * (1 - Math.cos(over)) > DIP) {
      this.#say(item, `the ${hollow ? 'hollow arc' : 'arc'} of radius ${this.#show(radius)} runs below or above its own ends; heights never fall along an outline. Part it where it is square to the axis, and leave out what lies within the cutter`)
      return undefined
    }
    const kept = Math.min(Math.PI / 2, Math.max(-Math.PI / 2, off))
    return hollow ? Math.PI + kept : kept
  }

  #rises(item: JsonNode, from: Place, to: Place): boolean {
    if (to[1] < from[1]) return this.#say(item, `its outline goes down from height ${this.#show(from[1])} to ${this.#show(to[1])}; heights never fall. A hollow face cannot be described: take it as flat at the height of its rim`)
    if (to[0] === from[0] && to[1] === from[1]) return this.#say(item, `the point [${this.#pair(to)}] stands twice in its outline`)
    return true
  }

  /** A point in mm. */
  #place(item: JsonNode): Place | undefined {
    const numbers = item.kind === 'array' ? item.items.flatMap(node => node.kind === 'number' && Math.abs(node.value) < 1e6 ? [node.value * this.#fields.notes.unit] : []) : []
    const [radius, height] = numbers
    if (item.kind !== 'array' || item.items.length !== 2 || radius === undefined || height === undefined) {
      this.#fields.sayValue('outline', item, 'each entry is a point [radius, height] or an arc { "to": [radius, height], "radius": … }')
      return undefined
    }
    if (radius < 0 || (radius === 0 && this.#at !== undefined)) {
      this.#say(item, `the radius ${this.#show(radius)} of [${this.#pair([radius, height])}] is not above 0; only the tip may lie on the axis`)
      return undefined
    }
    return [radius, height]
  }

  #say(item: JsonNode, message: string): false {
    this.#fields.notes.say(item.span, `On ${this.#fields.name}, ${message}.`)
    return false
  }

  #show(mm: number): string {
    return show(this.#fields, mm)
  }

  #pair(place: Place): string {
    return place.map(length => Number((length / this.#fields.notes.unit).toPrecision(6))).join(', ')
  }
}
