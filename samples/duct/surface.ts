import { seededNumbers } from './seeded-numbers.ts'
import { sectionAt, spans } from './section.ts'

/** A point of the surface and the way out of the metal there (of the even section, without the bumps). */
export interface SurfacePoint {
  readonly point: readonly [number, number, number]
  readonly normal: readonly [number, number, number]
}

/** One wave of the casting's unevenness over azimuth and section parameter. */
interface Wave { readonly around: number, readonly along: number, readonly phase: number, readonly weight: number }

const seed = 20371

/**
 * The casting's surface at an azimuth (radians from +X about +Z) and a parameter of the section.
 * The bumps are a fixed sum of waves drawn from the seed, each a whole number of times round both
 * ways, so that the surface closes.
 */
export function surfaceAt(azimuth: number, parameter: number): SurfacePoint {
  const section = sectionAt(parameter)
  const c = Math.cos(azimuth), s = Math.sin(azimuth)
  const raised = section.bump * unevenness(azimuth, parameter)
  const radius = section.radius + raised * section.normalRadius
  return {
    point: [radius * c, radius * s - section.shift, section.height + raised * section.normalHeight],
    normal: [section.normalRadius * c, section.normalRadius * s, section.normalHeight],
  }
}

const waves: readonly Wave[] = drawWaves()

/** Between about -1 and 1. */
function unevenness(azimuth: number, parameter: number): number {
  const along = 2 * Math.PI * parameter / spans
  let sum = 0
  for (const wave of waves) sum += wave.weight * Math.cos(wave.around * azimuth + wave.along * along + wave.phase)
  return sum
}

function drawWaves(): Wave[] {
  const next = seededNumbers(seed)
  const drawn: Wave[] = []
  for (let i = 0; i < 14; i++) {
    drawn.push({
      around: 2 + Math.floor(next() * 10),
      along: Math.floor(next() * 13) - 6,
      phase: 2 * Math.PI * next(),
      weight: (0.5 + next()) / 6,
    })
  }
  return drawn
}
