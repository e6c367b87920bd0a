import type { Cutter, OutlineStep, Tool } from '../../shared/setup.ts'
import { endOfStep } from '../../shared/cutter-outline.ts'
import type { SeededRandom } from '../harness/seeded-random.ts'

export const shapes = ['flat', 'ball', 'bull', 'taper', 'drill', 'lollipop', 'apt', 'profile'] as const

const degree = Math.PI / 180

/** A cutter of the shape, 1 to 16 mm in diameter. */
export function randomCutter(random: SeededRandom, shape: typeof shapes[number]): Cutter {
  const DC = random.between(1, 16)
  switch (shape) {
    case 'flat':
      return { shape, DC, LCF: DC * random.between(0.3, 3) }
    case 'ball':
      return { shape, DC, LCF: DC * random.between(0.5, 3) }
    case 'bull': {
      const RE = DC / 2 * random.pick([0.1, 0.5, 0.9, 1])
      return { shape, DC, RE, LCF: RE + random.between(0.1, 20) }
    }
    case 'taper': {
      const RE = random.pick([0, 0.3, 1, 3]), BHTA = random.between(1, 40) * degree
      const touch = RE * (1 - Math.sin(BHTA)), LCF = touch + random.between(1, 20)
      return { shape, RE, BHTA, DC: 2 * (RE * Math.cos(BHTA) + (LCF - touch) * Math.tan(BHTA)), LCF }
    }
    case 'drill': {
      const SIG = random.between(90, 150) * degree
      return { shape, DC, SIG, LCF: DC / 2 / Math.tan(SIG / 2) + random.between(0.5, 30) }
    }
    case 'lollipop': {
      const DN = DC * random.between(0.2, 0.98), meeting = DC / 2 + Math.sqrt(DC * DC - DN * DN) / 2
      return { shape, DC, DN, LCF: meeting + random.pick([0, random.between(0.1, 10)]) }
    }
    case 'apt':
      return randomApt(random)
    case 'profile':
      return randomProfile(random)
  }
}

/** A corner between a lower line and an upper one, opening or narrowing upward; a sharp one may turn inward. */
function randomApt(random: SeededRandom): Cutter {
  const r = random.pick([0, 0.2, 1, 3]), a = random.pick([0, random.between(0, 50)]) * degree
  const b = random.pick([0, random.between(-20, 35), r === 0 ? random.between(45, 70) : 5]) * degree
  const along = random.pick([0, random.between(0.3, 6)])
  const low = [along * Math.cos(a), along * Math.sin(a)]
  // The corner's centre stands off the lower line by r; the upper line touches at the angle -b.
  const e = low[0] - r * Math.sin(a), f = low[1] + r * Math.cos(a)
  const high = [e + r * Math.cos(b), f - r * Math.sin(b)]
  // Where the lines meet: from the corner's upper touch back along the upper line.
  const back = (high[1] - high[0] * Math.tan(a)) / (Math.cos(b) - Math.tan(a) * Math.sin(b))
  const d = 2 * (high[0] - back * Math.sin(b)), narrowing = b < 0 ? 0.8 * high[0] / Math.tan(-b) : Infinity
  const h = high[1] + Math.min(random.between(0.5, 20), narrowing)
  if (high[0] < 0.1) return randomApt(random)
  const top = high[0] + (h - high[1]) * Math.tan(b)
  const widest = Math.max(high[0], top, b < 0 ? e + r : 0)
  return { shape: 'apt', d, r, e, f, a, b, h, DC: 2 * widest, LCF: random.pick([h, high[1] + (h - high[1]) * random.next()]) }
}

/** Up to seven runs: flats outward and inward, cylinders, cones, arcs that bulge; with necks and collars. */
function randomProfile(random: SeededRandom): Cutter {
  const outline: OutlineStep[] = []
  let [r, h] = [random.pick([0, random.between(0.5, 4)]), 0], widest = r, wasFlat = true
  const reach = (to: readonly [number, number]) => {
    [r, h] = to
    widest = Math.max(widest, r)
  }
  for (let runs = random.whole(1, 7); runs > 0 || r < 0.5 || h < 0.5 || wasFlat; runs--) {
    const kind = random.pick(r < 0.5 ? ['line', 'arc', 'flat'] : ['line', 'wall', 'arc', 'flat'] as const)
    if (kind === 'flat') {
      if (wasFlat) continue
      const to = [r < 1 ? r + random.between(0.3, 4) : random.pick([r * random.between(0.4, 0.9), r + random.between(0.3, 4)]), h] as const
      outline.push({ kind: 'line', from: [r, h], to })
      reach(to)
    } else if (kind === 'arc') {
      const radius = random.between(0.3, 6), from = random.pick([-90, random.between(-90, 40)]), to = random.pick([90, random.between(from + 10, 90)])
      const centre = [r - radius * Math.cos(from * degree), h - radius * Math.sin(from * degree)] as const
      const end = [centre[0] + radius * Math.cos(to * degree), centre[1] + radius * Math.sin(to * degree)] as const
      if (end[0] < 0.3) continue
      outline.push({ kind: 'arc', centre, radius, fromAngle: from * degree, toAngle: to * degree })
      widest = Math.max(widest, from < 0 && to > 0 ? centre[0] + radius : 0)
      reach(end)
    } else {
      const to = [kind === 'wall' ? r : Math.max(0.3, r + random.between(-0.7 * r, 4)), h + random.between(0.2, 6)] as const
      outline.push({ kind: 'line', from: [r, h], to })
      reach(to)
    }
    wasFlat = kind === 'flat'
  }
  return { shape: 'profile', outline, DC: 2 * widest, LCF: random.pick([h, h * random.between(0.3, 1)]) }
}

/** A whole assembly about the cutter, with and without each of its parts. */
export function randomTool(random: SeededRandom, shape = random.pick(shapes)): Tool {
  const cutter = randomCutter(random, shape)
  const outline = cutter.shape === 'profile' ? cutter.outline[cutter.outline.length - 1] : undefined
  const reach = outline !== undefined ? endOfStep(outline)[1] : cutter.shape === 'apt' ? cutter.h : cutter.LCF
  const neck = random.next() < 0.6 ? { DN: Math.max(0.5, cutter.DC * random.between(0.6, 1)), LU: reach + random.between(1, 30) } : undefined
  const neckTop = neck?.LU ?? reach
  const shank = { DCONMS: cutter.DC * random.between(0.9, 2), ...(random.next() < 0.6 ? { BHTA: random.between(5, 60) * degree } : {}) }
  const LPR = neckTop + random.pick([0, random.between(1, 5), random.between(5, 40)])
  const holder = Array.from({ length: random.whole(0, 3) }, () => {
    const diameter = random.between(8, 60)
    return { diameter, topDiameter: random.next() < 0.5 ? diameter : random.between(8, 60), length: random.between(3, 40) }
  })
  return {
    number: 1, name: `random ${shape}`, cutter, neck, shank, LPR, holder, centreCutting: true, point: random.pick(['tip', 'centre']), lengthOffset: 1,
    span: { start: 0, end: 0 },
  }
}
