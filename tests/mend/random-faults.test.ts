import { describe, expect, test } from 'vitest'
import type { Finding } from '../../shared/finding.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { Job } from './job.ts'

// Clean paths over a wavy part, written in every mode a program can be written in, with words changed at random: each is mended, or
// refused with a reason, and none becomes worse.

const modes = ['tool-centre', 'tool-centre, leant', 'tool vector', 'plain', 'plain, leant', 'incremental', 'inch', 'inverse time', 'tilted plane'] as const
type Mode = typeof modes[number]

const degree = Math.PI / 180
const radius = 3

function surface(x: number, y: number): number {
  return 0.6 * Math.sin(x / 5) + 0.5 * Math.cos(y / 4) - 2
}

/** Facets of the wavy face between −24 and 24, and a wall behind it. */
function part(): Float64Array {
  const numbers: number[] = [], n = 32, size = 24, at = (i: number) => (2 * i / n - 1) * size
  const corner = (i: number, j: number) => [at(i), at(j), surface(at(i), at(j))]
  for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) {
    const a = corner(i, j), b = corner(i + 1, j), c = corner(i + 1, j + 1), d = corner(i, j + 1)
    numbers.push(...a, ...b, ...c, ...a, ...c, ...d)
  }
  const wall = (x: number, z: number) => [x, 20, z]
  numbers.push(...wall(-24, -3), ...wall(24, -3), ...wall(24, 30), ...wall(-24, -3), ...wall(24, 30), ...wall(-24, 30))
  return Float64Array.from(numbers)
}

const mesh = part()

/** Height of the ball's centre over (x, y) at which it touches the face: its distance to the facets' corners and to points between, worked out by bisection. */
function touching(x: number, y: number): number {
  let high = 0
  for (let dx = -radius; dx <= radius; dx += 0.15) for (let dy = -radius; dy <= radius; dy += 0.15) {
    const square = radius ** 2 - dx ** 2 - dy ** 2
    if (square >= 0) high = Math.max(high, surface(x + dx, y + dy) + Math.sqrt(square))
  }
  return high
}

interface Written { readonly text: string, readonly words: readonly string[] }

function clean(mode: Mode, random: SeededRandom): Written {
  const y = random.between(-12, 8), points: [number, number, number][] = []
  for (let x = -14; x <= 14; x += 1.4) points.push([x, y + 0.3 * Math.sin(x), touching(x, y + 0.3 * Math.sin(x)) + 0.02])
  const inch = mode === 'inch', unit = inch ? 25.4 : 1, places = inch ? 4 : 3
  const say = (value: number) => (value / unit).toFixed(places)
  const leant = mode.includes('leant') || mode === 'tool vector', tilt = leant ? -12 : 0
  const centre = mode !== 'plain' && mode !== 'plain, leant' && mode !== 'incremental' && mode !== 'tilted plane'
  const on = mode === 'tool vector' ? 'G43.5' : centre ? 'G43.4' : 'G43'
  // Without tool-centre control only an upright tool, or a tilted plane, says the point plainly; leant, the joints are those of the table turned about its axis.
  const lead = `%\nO1\nN10 ${inch ? 'G20' : 'G21'} G17 G90 G94\nN20 G40 G49 G80\nN30 G54\nN40 T1 M6\nN50 S8000 M3\n`
  const lines: string[] = []
  let number = 100
  const put = (words: string) => {
    lines.push(`N${number} ${words}`)
    number += 10
  }
  const [x0, y0, z0] = points[0]
  if (mode === 'plain, leant') {
    // A turns the table by −A about X through (0, ·, −50) of the part: what the program must say follows from that.
    const turned = ([x, py, z]: readonly number[]) => {
      const s = Math.sin(-tilt * degree), c = Math.cos(-tilt * degree), h = z + 50
      return [x, py * c - h * s, py * s + h * c - 50]
    }
    put(`G0 A${tilt}. C0.`)
    const first = turned(points[0])
    put(`G43 H1 X${say(first[0])} Y${say(first[1])} Z${say(first[2] + 20)}`)
    points.forEach((point, i) => {
      const [x, py, z] = turned(point)
      put(`${i === 0 ? 'G1 ' : ''}X${say(x)} Y${say(py)} Z${say(z)}${i === 0 ? ' F600.' : ''}`)
    })
    put('G0 Z60.')
  } else if (mode === 'tilted plane') {
    put('G0 A0. C0.')
    put('G43 H1 Z60.')
    put('G68.2 X0. Y0. Z0. I0. J0. K0.')
    put('G53.1')
    put(`G0 X${say(x0)} Y${say(y0)} Z${say(z0 + 20)}`)
    points.forEach(([x, py, z], i) => put(`${i === 0 ? 'G1 ' : ''}X${say(x)} Y${say(py)} Z${say(z)}${i === 0 ? ' F600.' : ''}`))
    put('G0 Z60.')
    put('G69')
  } else {
    put(`G0 A${tilt}. C0.`)
    const vector = mode === 'tool vector' ? ` I0. J${(Math.sin(-tilt * degree)).toFixed(6)} K${Math.cos(tilt * degree).toFixed(6)}` : ''
    put(`${on} H1 X${say(x0)} Y${say(y0)} Z${say(z0 + 20)}${vector}`)
    if (mode === 'incremental') {
      put(`G1 Z${say(z0)} F600.`)
      put('G91')
      const steps = points.map(point => point.map(value => Math.round(value * 1000) / 1000))
      for (let i = 1; i < steps.length; i++) put(`X${say(steps[i][0] - steps[i - 1][0])} Y${say(steps[i][1] - steps[i - 1][1])} Z${say(steps[i][2] - steps[i - 1][2])}`)
      put('G90')
    } else {
      const feed = mode === 'inverse time' ? ' F120.' : ''
      if (mode === 'inverse time') put('G93')
      points.forEach(([x, py, z], i) => put(`${i === 0 ? 'G1 ' : ''}X${say(x)} Y${say(py)} Z${say(z)}${vector}${feed || (i === 0 ? ` F${inch ? '24.' : '600.'}` : '')}`))
      if (mode === 'inverse time') put('G94')
    }
    put(`G0 Z${say(60)}${vector}`)
  }
  return { text: `${lead}${lines.join('\n')}\nN900 G49\nN910 G53 G0 Z0.\nN920 M30\n%\n`, words: lines }
}

/** One to three coordinates of cutting blocks changed, by up to 0.3 mm or, for a rotary word put in, a few degrees. */
function spoil({ text }: Written, random: SeededRandom): string {
  const lines = text.split('\n')
  const cutting = lines.flatMap((line, i) => /^N\d+ (?:G1 )?X\S+ Y/.test(line) && i > 9 ? [i] : [])
  for (let n = random.whole(1, 3); n > 0; n--) {
    const at = random.pick(cutting.slice(1, -1)), line = lines[at]
    const letter = random.pick(['Z', 'Z', 'X', 'Y'])
    lines[at] = line.replace(new RegExp(`${letter}(-?[\\d.]+)`), (_, digits: string) => {
      const places = digits.split('.')[1]?.length ?? 0, unit = places === 4 ? 25.4 : 1
      const by = letter === 'Z' ? -random.between(0.03, 0.3) : random.between(-0.3, 0.3)
      return `${letter}${(Number(digits) + by / unit).toFixed(places)}`
    })
  }
  return lines.join('\n')
}

const tool = { cutter: { shape: 'ball', DC: 2 * radius, LCF: 8 }, shank: { DCONMS: 5 }, LPR: 40, holder: [{ diameter: 12, length: 30 }], point: 'centre' }

const seed = Number(process.env['MEND_SEED'] ?? 20261126), rounds = Number(process.env['MEND_TESTS'] ?? 207)

/** The worst figure of each rule, mm: how far beyond its limit. */
function badness(findings: readonly Finding[]): Map<string, number> {
  const worst = new Map<string, number>()
  for (const { rule, contact, open } of findings) {
    const lack = contact === undefined ? 1 : open === true ? 0.002 : (contact.depth ?? -(contact.clearance ?? 0))
    worst.set(rule, Math.max(worst.get(rule) ?? -Infinity, lack))
  }
  return worst
}

describe.each(modes)('%s', mode => {
  const share = Math.ceil(rounds / modes.length)

  test(`${share} faulty programs are mended or refused, none is made worse (seed ${seed})`, () => {
    const random = new SeededRandom(seed + modes.indexOf(mode) * 7919)
    let faulty = 0, mended = 0
    for (let i = 0; i < share; i++) {
      const written = clean(mode, random), text = spoil(written, random)
      const job = new Job({ program: text, tool, limits: { gouge: 0.03, clearance: { neck: 0.1, shank: 0.1, holder: 0.5, rapid: 1 } }, mesh })
      const before = job.findings(text), answer = job.mend()
      expect(answer.complete).toBe(true)
      const after = job.findings(answer.text)
      const was = badness(before)
      for (const [rule, lack] of badness(after)) expect(lack, `${rule} in round ${i}:\n${text}\n→\n${answer.text}`).toBeLessThanOrEqual((was.get(rule) ?? -Infinity) + 3e-3)
      expect(after.length).toBeLessThanOrEqual(before.length)
      const contact = before.filter(finding => finding.contact !== undefined)
      if (contact.length === 0) {
        expect(answer.text).toBe(text)
        continue
      }
      faulty++
      expect(answer.mended.length + answer.refused.length).toBeGreaterThan(0)
      for (const { why } of answer.refused) expect(why.join()).not.toBe('')
      if (answer.refused.length > 0) continue
      mended++
      expect(after.filter(finding => finding.contact !== undefined), `round ${i}:\n${text}\n→\n${answer.text}`).toEqual([])
      // Comments, numbers and everything else stay: as many lines, but for blocks put in.
      const inserted = answer.mended.flatMap(place => place.changes.flatMap(change => change.inserted)).length
      expect(answer.text.split('\n')).toHaveLength(text.split('\n').length + inserted)
    }
    // A slip in a word is what a mend is for: most must come out clean.
    expect(mended).toBeGreaterThanOrEqual(Math.floor(faulty * 0.7))
    expect(faulty).toBeGreaterThan(0)
  })
})
