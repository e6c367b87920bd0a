import type { Cutter, Tool } from '../../shared/setup.ts'
import type { SeededRandom } from '../harness/seeded-random.ts'

export const shapes = ['flat', 'ball', 'bull', 'taper', 'drill'] as const

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
  }
}

/** A whole assembly about the cutter, with and without each of its parts. */
export function randomTool(random: SeededRandom, shape = random.pick(shapes)): Tool {
  const cutter = randomCutter(random, shape)
  const reach = cutter.LCF
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
