import { describe, expect, it } from 'vitest'
import { GrowingFaults } from '../../server/engine/contact/growing-faults.ts'
import { partFaults } from '../../server/engine/contact/motion-faults.ts'
import { unchangedMotions } from '../../server/engine/contact/unchanged-motions.ts'
import { openScene, partOfFigures, readProgram, searchInputOf, type ContactFigures, type SearchInput } from '../../server/engine/service.ts'
import { SeededRandom } from '../harness/seeded-random.ts'

// Judging a program piece by piece, in any order and after any edit, comes to what judging it whole comes to.

const seed = 20261127

const sheet = JSON.stringify({
  units: 'mm', programs: ['x.nc'], baseOffset: 'G54', offsets: { G54: { X: 0, Y: 0, Z: 0, A: 0, C: 0 } },
  part: { mesh: 'x.stl', units: 'mm' }, limits: { gouge: 0.01, clearance: { neck: 0.1, shank: 0.2, holder: 1, rapid: 1 } },
  tools: [1, 2].map(number => ({ number, name: `ball ${number}`, cutter: { shape: 'ball', DC: 4, LCF: 6 }, shank: { DCONMS: 6 }, LPR: 38, holder: [{ diameter: 12, length: 30 }], lengthOffset: number })),
})

/** Rapids and cuts by turns, tables that turn, two tools; few places, so that the path comes by them again and a stretch can fall out. */
function randomBlock(random: SeededRandom): string {
  const place = `X${random.whole(0, 2)}. Y${random.whole(0, 1)}.`
  return random.pick([`G0 ${place}`, `G1 ${place} F500`, `G1 ${place}`, `G0 Z${random.whole(0, 1)}.`, `G0 C${random.whole(0, 1)}.`, `G1 C${random.whole(0, 1)}. F500`, 'T2 M6', 'T1 M6'])
}

function read(blocks: readonly string[]): SearchInput {
  const scene = openScene({ path: 'x.setup.json', text: sheet }, undefined)
  const input = searchInputOf(readProgram({ path: 'x.nc', text: ['G21 G90 G54', 'T1 M6', ...blocks].join('\n') }, scene), scene, 0.002)
  if (input === undefined) throw new Error('the sheet cannot be used')
  return input
}

/** Intervals about the limits, so that verdicts of every kind come about; a motion's figures depend on the motion alone. */
function figuresOf({ toolpath }: SearchInput): ContactFigures {
  const { count, joints, axes: { length: width } } = toolpath
  const figures = { firstMotion: 0, count, value: new Float64Array(count * 4), certified: new Float64Array(count * 4), time: new Float32Array(count * 4), point: new Float32Array(count * 12), inside: [], near: [] }
  for (let i = 0; i < count; i++) {
    const own = new SeededRandom(1 + Math.abs(Math.round(1000 * joints.subarray(i * width, (i + 2) * width).reduce((sum, value, k) => sum + (k + 1) * value, 0))))
    for (let c = 0; c < 4; c++) {
      figures.value[4 * i + c] = own.pick([Infinity, own.between(-0.1, 1.5)])
      figures.certified[4 * i + c] = figures.value[4 * i + c] - own.between(0, 0.05)
    }
  }
  return figures
}

const whole = (input: SearchInput) => [...partFaults(input.kinematics, input.toolpath, input.limits, figuresOf(input))]

describe(`faults of figures as they come (seed ${seed})`, () => {
  it('are those of all figures at once, in whatever order and pieces they come', () => {
    const random = new SeededRandom(seed)
    let faults = 0
    for (let round = 0; round < 40; round++) {
      const input = read(Array.from({ length: 60 }, () => randomBlock(random))), figures = figuresOf(input), known = new Set<number>()
      const growing = new GrowingFaults(input, motion => known.has(motion), (first, count) => partOfFigures(figures, first, count))
      const pieces: number[] = []
      for (let first = 0; first < figures.count; first += random.whole(1, 9)) pieces.push(first)
      const ends = new Map(pieces.map((first, i) => [first, pieces[i + 1] ?? figures.count]))
      for (const first of pieces.map(piece => ({ piece, at: random.next() })).sort((a, b) => a.at - b.at).map(({ piece }) => piece)) {
        const end = ends.get(first) ?? figures.count
        for (let motion = first; motion < end; motion++) known.add(motion)
        growing.judge(first, end - first)
      }
      expect(growing.list).toEqual(whole(input))
      faults += growing.list.length
    }
    expect(faults).toBeGreaterThan(1000)
  })

  it('are taken over from the reading before an edit, and the rest is judged', () => {
    const random = new SeededRandom(seed + 1)
    for (let round = 0; round < 120; round++) {
      const blocks = Array.from({ length: 60 }, () => randomBlock(random))
      const edited = [...blocks]
      for (let edit = random.whole(1, 3); edit > 0; edit--) edited.splice(random.whole(0, 59), random.whole(0, 5), ...Array.from({ length: random.whole(0, 2) }, () => randomBlock(random)))
      const before = read(blocks), after = read(edited), figures = { before: figuresOf(before), after: figuresOf(after) }
      const earlier = new GrowingFaults(before, motion => motion < figures.before.count, (first, count) => partOfFigures(figures.before, first, count))
      earlier.judge(0, figures.before.count)
      const same = unchangedMotions(before, after), known = new Set<number>()
      const growing = new GrowingFaults(after, motion => known.has(motion), (first, count) => partOfFigures(figures.after, first, count))
      const runs: { first: number, count: number, source: number }[] = []
      same.forEach((source, motion) => {
        const last = runs.at(-1)
        if (source < 0) return
        known.add(motion)
        if (last !== undefined && last.first + last.count === motion && last.source + last.count === source) last.count++
        else runs.push({ first: motion, count: 1, source })
      })
      growing.inherit(earlier, runs)
      same.forEach((source, motion) => {
        if (source >= 0) return
        known.add(motion)
        growing.judge(motion, 1)
      })
      expect(growing.list).toEqual(whole(after))
    }
  })

  it('of a rapid are judged again where another cut stands before it now', () => {
    // The cutter of a cut along -X is 0.5 mm deep, that of the rapid 0.3: it leaves the one, but not the cut along +X, which is not deep.
    const before = read(['G1 X10. F500', 'X20.', 'X10.', 'G0 X5.']), after = read(['G1 X10. F500', 'G0 X5.'])
    const deep = (input: SearchInput): ContactFigures => {
      const figures = figuresOf(input), { toolpath: { count, joints, axes } } = input
      figures.value.fill(Infinity)
      for (let i = 0; i < count; i++) figures.value[4 * i] = figures.certified[4 * i] = i === count - 1 ? -0.3 : joints[(i + 1) * axes.length] < joints[i * axes.length] ? -0.5 : 1
      return figures
    }
    const of = (input: SearchInput) => new GrowingFaults(input, motion => motion < input.toolpath.count, (first, count) => partOfFigures(deep(input), first, count))
    const earlier = of(before), growing = of(after)
    earlier.judge(0, before.toolpath.count)
    growing.inherit(earlier, [{ first: 0, count: 1, source: 0 }, { first: 1, count: 1, source: 3 }])
    expect(earlier.list.map(({ motion }) => motion)).toEqual([2])
    expect(growing.list.map(({ motion, verdict }) => [motion, verdict.rule])).toEqual([[1, 'rapid-into-part']])
  })
})
