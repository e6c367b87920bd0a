import { describe, expect, test } from 'vitest'
import { placeMarks } from '../../server/engine/record/place-marks.ts'
import { SeededRandom } from '../harness/seeded-random.ts'

const area = { width: 640, height: 460 }

/** Labels with the box of their letters: 12 high, as wide as eleven-pixel bold letters are at most. */
function labelsOf(drawn: readonly string[]) {
  return drawn.flatMap(piece => [...piece.matchAll(/<text class="mark" x="([-\d.]+)" y="([-\d.]+)" text-anchor="middle">([^<]*)</g)]).map(([, x, y, text = '']) => ({
    text, left: Number(x) - text.length * 3.35, right: Number(x) + text.length * 3.35, top: Number(y) - 9.5, bottom: Number(y) + 2.5,
  }))
}

describe('marks of places', () => {
  test('of one place stand together, in a row by the first and the last', () => {
    const at = [100, 100] as const, marks = ['1', '2', '3', '4', '7', '9', '10', 'A1'].map(mark => ({ mark, at }))
    expect(labelsOf(placeMarks(marks, area)).map(({ text }) => text)).toEqual(['1–4, 7, 9, 10, A1'])
  })

  test('cover neither each other nor a ring, stay in the picture, and none is left out', () => {
    for (let seed = 1; seed <= 20; seed++) {
      // Sixty places crowded into a small part of the picture.
      const random = new SeededRandom(seed), marks = Array.from({ length: 60 }, (_, n) => ({ mark: String(n * 3), at: [200 + 200 * random.next(), 150 + 150 * random.next()] as const }))
      const drawn = placeMarks(marks, area), labels = labelsOf(drawn)
      expect(labels.flatMap(({ text }) => text.split(', ')).sort()).toEqual(marks.map(({ mark }) => mark).sort())
      const rings = drawn.flatMap(piece => [...piece.matchAll(/cx="([\d.]+)" cy="([\d.]+)" r="3"/g)]).map(([, x, y]) => ({ left: Number(x) - 3, right: Number(x) + 3, top: Number(y) - 3, bottom: Number(y) + 3 }))
      for (const [n, label] of labels.entries()) {
        expect(label.left >= 0 && label.right <= area.width && label.top >= 0 && label.bottom <= area.height).toBe(true)
        const over = [...labels.filter((_, other) => other !== n), ...rings].filter(other => label.left < other.right - 0.02 && other.left < label.right - 0.02 && label.top < other.bottom - 0.02 && other.top < label.bottom - 0.02)
        expect(over, `seed ${seed}, ${label.text}`).toEqual([])
      }
    }
  })
})
