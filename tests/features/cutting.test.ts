import { describe, expect, it } from 'vitest'
import { contactDiameter, cuttingSpeed, feedOnPart } from '../../server/engine/features/cutting.ts'
import { poseAfterLine, viewProgram, type MotionFigures, type ProgramView } from '../../server/engine/editor-service.ts'
import { openScene, readProgram } from '../../server/engine/service.ts'

// Speeds at the tool: v = π D n / 1000 m/min, and on a plane a ball of D whose axis is tilted by β touches at the diameter D sin β
// (handbook formulas of milling; the second follows from the sphere by hand).

const sheet = `{
  "programs": ["a.nc"], "baseOffset": "G54", "offsets": { "G54": { "X": 0, "Y": 0, "Z": 0, "A": 0, "C": 0 } },
  "tools": [{ "number": 1, "name": "ball 10", "cutter": { "shape": "ball", "DC": 10, "LCF": 12 }, "LPR": 30, "holder": [{ "diameter": 20, "length": 40 }], "lengthOffset": 1 }]
}`

function view(text: string): ProgramView {
  const scene = openScene({ path: '/job/a.setup.json', text: sheet }, undefined)
  return viewProgram(readProgram({ path: '/job/a.nc', text }, scene), scene)
}

const head = 'G21 G17 G90 G94 G54\nT1 M6\nS10000 M3\nG43.4 H1\n'

describe('cutting speed', () => {
  it.each([
    // 150 m/min at 10 mm are 4774.65 rev/min.
    [10, 4774.648, 150],
    // 10 mm tilted by 15 degrees at 10,000 rev/min: 81.31 m/min at the contact.
    [10 * Math.sin(15 * Math.PI / 180), 10_000, 81.31],
    // At the tip nothing cuts, however fast it turns.
    [0, 24_000, 0],
  ])('at diameter %d and %d rev/min', (diameter, revolutions, speed) => {
    expect(cuttingSpeed(diameter, revolutions)).toBeCloseTo(speed, 2)
  })

  it('at the contact of a ball tilted against a plane', () => {
    const tilted = view(`${head}G0 X0. Y0. Z0. A15. C0.\nG1 X10. F500.`), line = 5
    const [x = 0, y = 0, z = 0] = poseAfterLine(tilted, line)?.axis ?? []
    expect(z).toBeCloseTo(Math.cos(15 * Math.PI / 180), 9)
    // The sphere's centre lies 5 mm along the axis from the tip, which starts in the origin; its lowest point touches the plane.
    const figures: MotionFigures = { value: [0.02, 9, 9, 9], certified: [0.02, 9, 9, 9], time: [0, 0, 0, 0], point: [5 * x, 5 * y, 5 * z - 5, ...new Array<number>(9).fill(0)] }
    expect(contactDiameter(tilted, () => figures, line)).toBeCloseTo(2.588, 3)
  })

  it('is not told where the cutter is away from the part', () => {
    const away: MotionFigures = { value: [0.5, 9, 9, 9], certified: [0.5, 9, 9, 9], time: [0, 0, 0, 0], point: new Array<number>(12).fill(0) }
    expect(contactDiameter(view(`${head}G1 X10. Y0. Z0. F500.`), () => away, 4)).toBeUndefined()
  })
})

describe('speed of the tool point on the part', () => {
  const last = (text: string) => feedOnPart(view(head + text), (head + text).split('\n').length - 1)

  it('is the feed under tool-centre control, however the table turns', () => {
    const speed = last('G0 X0. Y0. Z5. A0. C0.\nG1 X10. A-20. C30. F600.')
    expect(speed?.least).toBeCloseTo(600, 3)
    expect(speed?.most).toBeCloseTo(600, 3)
  })

  it('is length by time with inverse-time feed', () => {
    // 10 mm in 1/50 min: NISTIR 6556 2.1.2.5 and 3.5.19.
    expect(last('G0 X0. Y0. Z5. A0. C0.\nG93 G1 X10. F50.')?.most).toBeCloseTo(500, 3)
  })

  it('of a table that turns alone grows with the distance from its axis', () => {
    // 90 degrees at 900 degrees a minute take 0.1 min; at 40 mm from the axis the point runs 62.83 mm.
    const speed = last('G49 G43 H1\nG0 X40. Y0. Z80. A0. C0.\nG1 C90. F900.')
    expect(speed?.least).toBeCloseTo(20 * Math.PI / 0.1, 3)
    expect(speed?.most).toBeCloseTo(20 * Math.PI / 0.1, 3)
  })

  it('is not told of a block that moves nothing', () => {
    expect(last('M8')).toBeUndefined()
  })
})
