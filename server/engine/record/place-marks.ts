import { escaped, fixed } from './markup.ts'
import type { SectionPoint } from './mesh-section.ts'

export interface PlacedMark {
  readonly mark: string
  readonly at: SectionPoint
}

/** Of a picture or of one of its panels. */
export interface MarkArea {
  readonly left?: number
  readonly width: number
  readonly height: number
}

interface Box { readonly left: number, readonly top: number, readonly right: number, readonly bottom: number }

/** Radius of the ring about a place, picture units. */
const RING = 3
/** Places nearer than this to the first of them share one ring and one label. */
const TOGETHER = 7
/** Size of the letters, bold: one is not wider than this. */
const LETTER = 6.7
const LINE = 12
/** A label that is farther off than this is led to its place by a line. */
const LED = 12
/** Distances of a label from its place that are tried, and the directions at each. */
const FARTHER = 6
const DIRECTIONS = 16

/** A ring at each place and its mark beside it; marks of one place stand together, and no label covers another label or another ring. */
export function placeMarks(marks: readonly PlacedMark[], area: MarkArea): string[] {
  const groups = grouped(marks), taken: Box[] = groups.map(({ at: [x, y] }) => ({ left: x - RING, top: y - RING, right: x + RING, bottom: y + RING }))
  return groups.flatMap(({ at, marks: together }) => {
    const text = markWords(together), label = freePlace(at, text.length * LETTER, area, taken)
    taken.push(label)
    const x = (label.left + label.right) / 2, y = label.bottom - 2.5, isFar = Math.hypot(x - at[0], (label.top + label.bottom) / 2 - at[1]) - text.length * LETTER / 2 > LED
    return [
      ...isFar ? [`<path class="leader" d="M${fixed(at[0])} ${fixed(at[1])}L${fixed(Math.min(label.right, Math.max(label.left, at[0])))} ${fixed(Math.min(label.bottom, Math.max(label.top, at[1])))}"/>`] : [],
      `<circle class="place" cx="${fixed(at[0])}" cy="${fixed(at[1])}" r="${RING}"/>`,
      `<text class="mark" x="${fixed(x)}" y="${fixed(y)}" text-anchor="middle">${escaped(text)}</text>`,
    ]
  })
}

function grouped(marks: readonly PlacedMark[]): { readonly at: SectionPoint, readonly marks: string[] }[] {
  const groups: { readonly at: SectionPoint, readonly marks: string[] }[] = []
  for (const { mark, at } of marks) {
    const near = groups.find(group => Math.hypot(group.at[0] - at[0], group.at[1] - at[1]) < TOGETHER)
    if (near === undefined) groups.push({ at, marks: [mark] })
    else near.marks.push(mark)
  }
  return groups
}

/** Marks in a row are told by the first and the last: "1, 4–7". */
function markWords(marks: readonly string[]): string {
  const words: string[] = []
  for (let n = 0; n < marks.length;) {
    let end = n
    while (end + 1 < marks.length && Number(marks[end + 1]) === Number(marks[end]) + 1) end++
    words.push(end - n < 2 ? marks.slice(n, end + 1).join(', ') : `${marks[n]}–${marks[end]}`)
    n = end + 1
  }
  return words.join(', ')
}

/** The nearest place for a label of such a width that covers nothing; where there is none, the nearest one of all. */
function freePlace([x, y]: SectionPoint, width: number, { left = 0, width: wide, height }: MarkArea, taken: readonly Box[]): Box {
  const boxAt = (across: number, down: number): Box => ({ left: across - width / 2, top: down - LINE / 2, right: across + width / 2, bottom: down + LINE / 2 })
  // Right of the ring and a little above it, where there is room.
  const first = boxAt(x + RING + 2 + width / 2, y - 5)
  const tried = [first, ...Array.from({ length: FARTHER * DIRECTIONS }, (_, n) => {
    const angle = 2 * Math.PI * (n % DIRECTIONS) / DIRECTIONS, away = RING + 4 + LINE * Math.floor(n / DIRECTIONS)
    return boxAt(x + Math.cos(angle) * (away + width / 2), y - Math.sin(angle) * (away + LINE / 2))
  })]
  const inside = ({ left: from, top, right, bottom }: Box) => from >= left && right <= left + wide && top >= 0 && bottom <= height
  return tried.find(box => inside(box) && taken.every(other => apart(box, other))) ?? first
}

function apart(a: Box, b: Box): boolean {
  return a.right <= b.left || b.right <= a.left || a.bottom <= b.top || b.bottom <= a.top
}
