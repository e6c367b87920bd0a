import { describe, expect, it } from 'vitest'
import { buildKinematics, newToolPose, toolPose } from '../../shared/kinematics.ts'
import { builtInMachine } from '../../server/engine/setup/built-in-machine.ts'
import { matchMachine } from '../../server/engine/setup/match-machine.ts'
import { readMachine } from '../../server/engine/setup/read-machine.ts'
import { readSetup } from '../../server/engine/setup/read-setup.ts'
import { changed, errorsOf, fullMachine, fullSheet } from './example-files.ts'

const degree = Math.PI / 180

describe('a machine file that uses every key', () => {
  const { machine, problems } = readMachine({ path: '/shop/a.machine.json', text: fullMachine })

  it('has no fault', () => {
    expect(problems).toEqual([])
  })

  it('comes out in mm, radians and seconds', () => {
    expect(machine).toMatchObject({
      name: 'table-table, A under C', path: '/shop/a.machine.json', table: [3, 4], head: [0, 1, 2],
      spindle: { gauge: [0, 0, 10], axis: [0, 0, 1] }, home: [0, 0, 500, 0, 0], bodies: [{ name: 'spindle nose', on: 2, mesh: { path: '/shop/nose.stl' } }],
    })
    expect(machine?.axes.map(axis => [axis.letter, axis.kind, axis.direction])).toEqual([
      ['X', 'linear', [1, 0, 0]], ['Y', 'linear', [0, 1, 0]], ['Z', 'linear', [0, 0, 1]], ['A', 'rotary', [-1, 0, 0]], ['C', 'rotary', [0, 0, -1]],
    ])
    expect(machine?.axes[0]).toMatchObject({ range: [-300, 300], rapid: 400, maxFeed: 200, acceleration: 3 })
    expect(machine?.axes[3]).toMatchObject({ range: [-110 * degree, 30 * degree], through: [0, 0, -50], acceleration: Math.PI })
    expect(machine?.axes[3].rapid).toBeCloseTo(120 * degree, 12)
    expect(machine?.axes[4].range).toBeUndefined()
  })

  it('says what its codes mean, written one way', () => {
    expect(machine?.control).toMatchObject({
      toolVectorOn: [], inverseTime: 'seconds', dwell: { P: 'seconds' }, wholeNumber: { as: 'increments', increment: 0.001 }, arcCentre: 'absolute',
      tiltedPlaneAngles: { order: 'X-Y-Z', about: 'fixed' }, orientChoice: { 0: 'positive', 3: 'nearest' }, blockTime: 0.002,
      rotaryTravel: { A: 'as-written', C: 'shortest' }, rapid: 'straight', subprogram: ['M98'], macro: [], cycles: [], neutral: ['G5.1', 'M10'],
      define: { M88: { says: 'chip conveyor on', effect: 'none' } }, jumps: false, callDepth: 4, insideCorner: 'error', tiltedPlaneShift: 'in-plane', tiltedPlaneForms: { 2: 'points' }, blockSkip: [2],
      variables: { unset: 'zero', named: true, last: 5399, axes: 'XYZAC', fix: 'toward-zero', signBefore: false, spellings: { ROOT: 'SQRT' } },
    })
    expect(machine?.secondHome).toEqual([0, 0, 600, 0, 0])
  })
})

it('takes the usual meanings where the file says nothing', () => {
  const start = fullMachine.indexOf('  "bodies"')
  const { machine, problems } = readMachine({ path: 'a', text: `${fullMachine.slice(0, start)} }` })
  expect(problems).toEqual([])
  expect(machine?.control).toMatchObject({
    inch: ['G20', 'G70'], metric: ['G21', 'G71'], toolCentreOn: ['G43.4'], toolVectorOn: ['G43.5'], toolCentreOff: ['G49'],
    tiltedPlaneOn: ['G68.2'], orientTool: ['G53.1'], tiltedPlaneOff: ['G69'], inverseTime: 'per-minute', dwell: { P: 'milliseconds', X: 'seconds' },
    wholeNumber: { as: 'units' }, arcCentre: 'incremental', rotaryTravel: { A: 'as-written', C: 'as-written' }, rapid: 'each-axis', neutral: [], define: {},
  })
})

it('turns inches into mm, not the directions and not the angles', () => {
  const { machine } = readMachine({ path: 'a', text: changed(fullMachine, '"units": "mm"', '"units": "inch"') })
  expect(machine?.axes[0]).toMatchObject({ direction: [1, 0, 0], range: [-7620, 7620], rapid: 24000 * 25.4 / 60 })
  expect(machine?.axes[3]).toMatchObject({ direction: [-1, 0, 0], through: [0, 0, -1270], range: [-110 * degree, 30 * degree] })
  expect(machine?.spindle.gauge).toEqual([0, 0, 254])
})

it('leaves the start unknown where no home is given', () => {
  const { machine, problems } = readMachine({ path: 'a', text: changed(fullMachine, '"home": { "X": 0, "Y": 0, "Z": 500, "A": 0, "C": 0 },', '') })
  expect(errorsOf(problems)).toEqual([])
  expect(machine?.home).toBeUndefined()
})

/** What stands in the file, what is written instead, the words marked, what is said, and whether the machine can still be used. */
const faults: readonly [from: string, to: string, marked: string, says: string, usable: boolean][] = [
  ['"rapid": 24000', '"rpaid": 24000', '"rpaid"', '"rpaid" is not a key of axis X; the nearest known key is "rapid".', false],
  ['"spindle": {', '"spindel": {', '"spindel"', 'nearest known key is "spindle"', true],
  ['"Y": { "kind"', '"Q": { "kind"', '"Q"', '"Q" is not a key of "axes"', false],
  ['"A": { "kind": "rotary"', '"A": { "kind": "linear"', '"linear"', 'A is the letter of a rotary axis (ISO 841', false],
  ['"kind": "linear", "direction": [0, 0, 1]', '"kind": "sliding", "direction": [0, 0, 1]', '"sliding"', 'write "linear" or "rotary"', false],
  ['"direction": [0, 0, 1], "range"', '"direction": [0, 0, 0], "range"', '[0, 0, 0]', 'has no length', false],
  ['"direction": [0, 0, 1], "range"', '"range"', '{', 'Axis Z has no "direction"', false],
  ['"direction": [0, 2, 0]', '"direction": [1, 0, 1]', '"axes"', 'lie in one plane', false],
  ['"through": [0, 0, -50], ', '', '{', 'Axis A has no "through"', false],
  ['"direction": [1, 0, 0], ', '"direction": [1, 0, 0], "through": [0, 0, 0], ', '"through"', 'is linear and has no "through"', false],
  ['[-110, 30]', '[30, -110]', '[30, -110]', 'runs from 30 to -110; the smaller end comes first', false],
  ['[-110, 30]', '[-110]', '[-110]', 'write the two ends', false],
  ['"range": [-100, 600]', '"range": null', 'null', 'write the two ends', false],
  ['"rapid": 7200', '"rapid": 0', '0', 'write a number above 0', false],
  ['"table": ["A", "C"]', '"table": ["A"]', '"axes"', 'Axis C stands in neither "table" nor "head"', false],
  ['"table": ["A", "C"]', '"table": ["A", "C", "X"]', '"X"', 'Axis "X" stands in "table" already', false],
  ['"table": ["A", "C"]', '"table": ["A", "C", "B"]', '"B"', '"B" in "table" is not one of the machine\'s axes: X, Y, Z, A, C', false],
  ['"axis": [0, 0, 1]', '"axis": [0, 0]', '[0, 0]', 'write three numbers', false],
  ['"Z": 500, ', '', '{', 'The home position has no "Z"', true],
  ['"Z": 500, ', '"Z": 601, ', '601', 'Home of Z lies outside', true],
  ['"Z": 500, ', '"Z": 500, "B": 0, ', '"B"', '"B" is not a key of the home position', true],
  ['"on": "Z"', '"on": "B"', '"B"', 'write "X" or "Y" or "Z" or "A" or "C"', true],
  ['["G20"]', '"G20"', '"G20"', 'write a list in brackets', true],
  ['["G20"]', '["20"]', '"20"', 'write codes in double quotes', true],
  ['"metric": ["G21"]', '"metric": ["G20"]', '"G20"', 'G20 stands in "inch" and in "metric"; a code has one meaning', true],
  ['"X-Y-Z"', '"X-X-Z"', '"X-X-Z"', 'write "X-Y-X" or "X-Y-Z"', true],
  ['"3": "nearest"', '"3": "near"', '"near"', 'write "nearest" or "positive" or "negative"', true],
  ['"blockTime": 2', '"blockTime": 0', '0', 'write a number above 0', true],
  ['"inverseTime": "seconds"', '"inverseTime": "minutes"', '"minutes"', 'write "per-minute" or "seconds"', true],
  ['{ "P": "seconds" }', '{ "P": "s" }', '"s"', 'write "milliseconds" or "seconds"', true],
  ['{ "increments": 0.001 }', '{ "increments": -1 }', '-1', 'write a number above 0', true],
  ['{ "increments": 0.001 }', '"increment"', '"increment"', 'write "units" or "increments"', true],
  ['{ "C": "shortest" }', '{ "B": "shortest" }', '"B"', '"B" is not a key of "rotaryTravel"', true],
  ['{ "C": "shortest" }', '{ "C": "short" }', '"short"', '"as-written" or "shortest" or "sign-is-direction"', true],
  ['"macro": false', '"macro": true', 'true', 'or false where the control has none', true],
  ['"M88"', '"88"', '"88"', '"88" is not a G or M code', true],
  ['"effect": "none"', '"effect": "nothing"', '"nothing"', 'write "none" or "stop" or "rotary-clamp"', true],
  ['"name": "table-table, A under C",', '', '{', 'The machine file has no "name"', true],
]

describe('one fault, one problem at its place', () => {
  it.each(faults)('%s → %s', (from, to, marked, says, usable) => {
    const text = changed(fullMachine, from, to)
    const { machine, problems } = readMachine({ path: '/shop/a.machine.json', text })
    const errors = errorsOf(problems)
    const found = errors.find(error => error.message.includes(says))
    expect(found?.message, errors.map(error => error.message).join('\n')).toContain(says)
    expect(text.slice(found?.span.start, found?.span.end)).toBe(marked)
    expect(machine !== undefined).toBe(usable)
    // An axis under another letter is missed in its chain and at home.
    expect(errors.length).toBe(from.startsWith('"Y": { "kind"') ? 4 : 1)
  })

  it.each(['', '[]', '{', 'null'])('%j gives a problem and no machine', text => {
    const { machine, problems } = readMachine({ path: 'a', text })
    expect(machine).toBeUndefined()
    expect(problems.length).toBe(1)
  })

  it('an axis without a range is said not to be checked', () => {
    const { machine, problems } = readMachine({ path: 'a', text: changed(fullMachine, ', "range": [-100, 600]', '') })
    expect(machine?.axes[2].range).toBeUndefined()
    expect(problems).toMatchObject([{ rule: 'not-checked', level: 'note', message: expect.stringContaining('axis Z has no "range"') }])
  })
})

it('an offset for an axis that the machine has not is said in the sheet', () => {
  const text = changed(fullSheet, '"X": 10, ', '"X": 10, "B": 1, ')
  const { setup } = readSetup({ path: 'a.setup.json', text })
  const problems = setup === undefined ? [] : matchMachine(setup, builtInMachine)
  expect(problems.map(problem => problem.message)).toEqual([expect.stringContaining('G55 gives a value for axis B, but the machine'), expect.stringContaining('no body on the head')])
  expect(text.slice(problems[0].span.start, problems[0].span.end)).toBe('1')
})

describe('the built-in machine', () => {
  const { axes, home, table, head } = builtInMachine

  it('is a table-table machine, A under C, whose home lies within its travel', () => {
    expect(table.map(joint => axes[joint].letter)).toEqual(['A', 'C'])
    expect(head.map(joint => axes[joint].letter)).toEqual(['X', 'Y', 'Z'])
    for (const [joint, axis] of axes.entries()) {
      const value = home?.[joint] ?? NaN
      expect(value >= (axis.range?.[0] ?? -Infinity) && value <= (axis.range?.[1] ?? Infinity), axis.letter).toBe(true)
    }
  })

  it('reads the same when it is written down as a file', () => {
    const file = JSON.stringify({
      name: builtInMachine.name, table: ['A', 'C'], head: ['X', 'Y', 'Z'], home: { X: 0, Y: 0, Z: 600, A: 0, C: 0 },
      axes: Object.fromEntries(axes.map(({ letter, kind, direction, through, range, rapid, maxFeed, acceleration }) => {
        const unit = kind === 'rotary' ? degree : 1
        return [letter, {
          kind, direction, ...kind === 'rotary' ? { through } : {}, range: range === undefined ? null : range.map(end => Math.round(end / unit)),
          rapid: Math.round((rapid ?? 0) * 60 / unit), maxFeed: Math.round((maxFeed ?? 0) * 60 / unit), acceleration: Math.round((acceleration ?? 0) / (kind === 'rotary' ? degree : 1)),
        }]
      })),
    })
    const { machine, problems } = readMachine({ path: 'a', text: file })
    expect(problems).toEqual([])
    expect(machine).toEqual({ ...builtInMachine, path: 'a' })
  })

  it('leans the tool with A and turns it with C, relative to the work (ISO 841)', () => {
    const kinematics = buildKinematics(builtInMachine, [0, 0, 150, 0, 0])
    const pose = newToolPose()
    toolPose(kinematics, [0, 0, 200, -30 * degree, 0], 0, pose)
    // A turns the tool about +X by the right-hand rule: from +Z toward -Y for a positive angle.
    expect(pose.axis[1]).toBeCloseTo(0.5, 12)
    toolPose(kinematics, [0, 0, 200, -30 * degree, 90 * degree], 0, pose)
    // C turns it on about +Z: from +Y to -X.
    expect(pose.axis[0]).toBeCloseTo(-0.5, 12)
  })
})
