import assert from 'node:assert/strict'
import { until } from '../until.ts'
import { diagnosticOf, hoverAt, openProgram, placeOf, putBack } from './program.ts'

describe('hover', () => {
  afterEach(putBack)

  it('tells the state in force, the tool point, the axis and the clearance of the block', async () => {
    const { document } = await openProgram('plate.nc')
    await diagnosticOf(document.uri, 'gouge')
    const at = placeOf(document, 'X25. Z0.').start
    const text = await until('the clearance in the hover', async () => {
      const said = await hoverAt(document, at)
      return /cutter/i.test(said) ? said : undefined
    })
    // N140 ends in X25 Y0 Z0, with the axis upright, and starts 0.05 mm deep.
    assert.match(text, /G1\b/)
    assert.match(text, /25/)
    assert.match(text, /0\.05/)
    assert.match(text, /axis/i)
  })

  it('says nothing on an empty place', async () => {
    const { document } = await openProgram('plate.nc')
    await diagnosticOf(document.uri, 'missing-decimal-point')
    assert.equal(await hoverAt(document, document.lineAt(0).range.start), '')
  })
})
