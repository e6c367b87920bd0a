import { stlBytes } from '../stl-bytes.ts'

// The job of this folder, computed: a block whose front face waves, the floor in front of it, and passes up and down the face that were laid over a
// smooth helper surface, so that they cut too deep here and leave a little there. Byte for byte the same on every machine.

/** The block: its front face is y = front(x, z); top at z = 0. mm. */
const block = { left: -30, right: 30, back: -25, bottom: -34, top: 0 }
const facets = { across: 48, down: 28 }

/** Surface in front of the block that the cutter must not pass. */
const floor = -27.2

const ballRadius = 3
const passes = { from: -20, to: 18, step: 2, top: -16, bottom: -27, down: 0.5 }

/** What the helper surface is off the face by, mm: below it where negative. */
const helperDepth = 0.005
const helperWave = 0.022

function front(x: number, z: number): number {
  return 0.8 * Math.sin(x / 6) + 0.15 * Math.cos(z / 5 + x / 11)
}

type Corner = readonly [number, number, number]

export function makeWall(): Uint8Array {
  const numbers: number[] = []
  const quad = (a: Corner, b: Corner, c: Corner, d: Corner) => numbers.push(...a, ...b, ...c, ...a, ...c, ...d)
  const x = (i: number) => block.left + (block.right - block.left) * i / facets.across
  const z = (j: number) => block.bottom + (block.top - block.bottom) * j / facets.down
  const face = (i: number, j: number): Corner => [x(i), front(x(i), z(j)), z(j)]
  const back = (i: number, j: number): Corner => [x(i), block.back, z(j)]
  for (let i = 0; i < facets.across; i++) {
    for (let j = 0; j < facets.down; j++) {
      quad(face(i + 1, j), face(i, j), face(i, j + 1), face(i + 1, j + 1))
      quad(back(i, j), back(i + 1, j), back(i + 1, j + 1), back(i, j + 1))
    }
    quad(face(i, facets.down), back(i, facets.down), back(i + 1, facets.down), face(i + 1, facets.down))
    quad(back(i, 0), face(i, 0), face(i + 1, 0), back(i + 1, 0))
  }
  for (let j = 0; j < facets.down; j++) {
    quad(face(0, j), back(0, j), back(0, j + 1), face(0, j + 1))
    quad(back(facets.across, j), face(facets.across, j), face(facets.across, j + 1), back(facets.across, j + 1))
  }
  return stlBytes(Float32Array.from(numbers), 'Wall with a waving face, mm')
}

export function makeFloor(): Uint8Array {
  const [a, b, c, d]: Corner[] = [[block.left, -6, floor], [block.right, -6, floor], [block.right, 20, floor], [block.left, 20, floor]]
  return stlBytes(Float32Array.from([...a, ...b, ...c, ...a, ...c, ...d]), 'Floor that must not be passed, mm')
}

/** How far the ball's centre stands before y = 0 when it touches the face at (x, z): the highest of the spheres about all places of the face. */
function touching(x: number, z: number): number {
  let most = -Infinity
  const step = 0.05
  for (let dx = -ballRadius; dx <= ballRadius; dx += step) {
    for (let dz = -ballRadius; dz <= ballRadius; dz += step) {
      const square = ballRadius * ballRadius - dx * dx - dz * dz
      if (square >= 0) most = Math.max(most, front(x + dx, z + dz) + Math.sqrt(square))
    }
  }
  return most
}

export function makeProgram(): string {
  const lines = ['%', 'O0340 (WALL, BALL 6, UP AND DOWN)', '(BALL CENTRE IS PROGRAMMED, LAID OVER A HELPER SURFACE)']
  let number = 10
  const put = (words: string) => {
    lines.push(`N${number} ${words}`)
    number += 10
  }
  const decimal = (value: number) => value.toFixed(3)
  for (const words of ['G21 G17 G90 G94', 'G40 G49 G80', 'G54', 'T2 M6', 'S12000 M3', 'G0 A-8. C0.', `G43.4 H2 X${decimal(passes.from)} Y20. Z40.`, 'M8', `G0 Z${decimal(passes.top)}`]) put(words)
  let before = ['', '', '']
  const point = (x: number, z: number, first: string, last: string) => {
    const y = touching(x, z) - helperDepth - helperWave * Math.sin(x / 3 + z / 2)
    const words = [`X${decimal(x)}`, `Y${decimal(y)}`, `Z${decimal(z)}`]
    put([first, ...words.filter((word, i) => word !== before[i]), last].filter(word => word !== '').join(' '))
    before = words
  }
  let down = true
  for (let x = passes.from, n = 0; x <= passes.to; x += passes.step, n++) {
    lines.push(`(PASS ${n + 1} ${down ? 'DOWN' : 'UP'})`)
    const count = Math.round((passes.top - passes.bottom) / passes.down)
    for (let i = 0; i <= count; i++) {
      const z = down ? passes.top - i * passes.down : passes.bottom + i * passes.down
      point(x, z, n === 0 && i === 0 ? 'G1' : '', n === 0 && i === 0 ? 'F900.' : '')
    }
    down = !down
  }
  lines.push('(OUT)')
  put('G1 Y20. F2000.')
  put('G0 Z40.')
  for (const words of ['G49 M9', 'M5', 'G53 G0 Z0.', 'G53 G0 X0. Y0. A0. C0.', 'M30']) put(words)
  return [...lines, '%', ''].join('\n')
}
