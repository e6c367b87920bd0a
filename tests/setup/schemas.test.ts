import { readFileSync } from 'node:fs'
import { Ajv } from 'ajv'
import { describe, expect, it } from 'vitest'
import { parseJson, type JsonNode } from '../../server/engine/setup/json-tree.ts'
import { cutterKeys, machineKeys, sheetKeys } from '../../server/engine/setup/keys.ts'
import { defaultControl } from '../../server/engine/setup/read-control.ts'
import { defaultLimits } from '../../server/engine/setup/read-limits.ts'
import { changed, fullMachine, fullSheet } from './example-files.ts'

interface Schema {
  readonly description?: string
  readonly default?: unknown
  readonly properties?: Readonly<Record<string, Schema>>
  readonly definitions: Readonly<Record<string, Schema>>
}

const folder = new URL('../../client/schemas/', import.meta.url)
const load = (name: string) => JSON.parse(readFileSync(new URL(name, folder), 'utf8')) as Schema
const sheetSchema = load('setup.schema.json'), machineSchema = load('machine.schema.json')
const ajv = new Ajv({ allErrors: true, strict: true, strictRequired: false, allowUnionTypes: true })
const fitsSheet = ajv.compile(sheetSchema), fitsMachine = ajv.compile(machineSchema)

/** The value that a text with comments stands for. */
function valueOf(text: string): unknown {
  const { root } = parseJson(text)
  if (root === undefined) throw new Error('the example is not JSON')
  return plain(root)
}

function plain(node: JsonNode): unknown {
  switch (node.kind) {
    case 'object': return Object.fromEntries(node.members.map(({ key, value }) => [key, plain(value)]))
    case 'array': return node.items.map(plain)
    case 'null': return null
    default: return node.value
  }
}

describe('the reader and the schema know the same keys', () => {
  const objects: [string, Schema | undefined, readonly string[]][] = [
    ...Object.entries(sheetKeys).map(([name, keys]): [string, Schema | undefined, readonly string[]] => [name, name === 'sheet' ? sheetSchema : sheetSchema.definitions[name], keys]),
    ...Object.entries(cutterKeys).map(([shape, keys]): [string, Schema | undefined, readonly string[]] => [shape, sheetSchema.definitions[`cutter-${shape}`], ['shape', ...keys]]),
    ...Object.entries(machineKeys).map(([name, keys]): [string, Schema | undefined, readonly string[]] => [name, name === 'machine' ? machineSchema : machineSchema.definitions[name], keys]),
  ]
  it.each(objects)('%s', (_, schema, keys) => {
    expect(Object.keys(schema?.properties ?? {}).sort()).toEqual([...keys].sort())
  })

  it('no object of the schema goes without a list', () => {
    const listed = [...Object.keys(sheetKeys), ...Object.keys(machineKeys), ...Object.keys(cutterKeys).map(shape => `cutter-${shape}`), 'cutter', 'profilePoint', 'offset', 'sheet', 'machine']
    expect([...Object.keys(sheetSchema.definitions), ...Object.keys(machineSchema.definitions)].filter(name => !listed.includes(name))).toEqual([])
  })
})

it('every key has a description, or the object it points to has', () => {
  const mute: string[] = []
  const walk = (value: unknown, path: string) => {
    if (typeof value !== 'object' || value === null) return
    for (const [key, inner] of Object.entries(value)) {
      if (key === 'properties') {
        for (const [name, property] of Object.entries(inner as Record<string, Record<string, unknown>>)) {
          if (property.description === undefined && property.$ref === undefined && property.const === undefined && !path.includes('/then') && !path.includes('/if')) mute.push(`${path}/${name}`)
        }
      }
      walk(inner, `${path}/${key}`)
    }
  }
  walk(sheetSchema, 'sheet')
  walk(machineSchema, 'machine')
  expect(mute).toEqual([])
})

it('states the defaults that the reader takes', () => {
  const stated = (schema: Schema | undefined, key: string) => schema?.properties?.[key]?.default
  const { limits, clearance } = sheetSchema.definitions
  for (const key of ['gouge', 'stockToLeave', 'leftover'] as const) expect(stated(limits, key)).toBe(defaultLimits[key])
  expect(stated(limits, 'axisStep')).toBeCloseTo(defaultLimits.axisStep * 180 / Math.PI, 12)
  for (const [key, value] of Object.entries(defaultLimits.clearance)) expect(stated(clearance, key)).toBe(value)
  for (const [key, value] of Object.entries(defaultControl)) {
    if (key === 'wholeNumber') expect(stated(machineSchema.definitions.control, key)).toBe('units')
    else if (key !== 'rotaryTravel' && key !== 'define') expect(stated(machineSchema.definitions.control, key), key).toEqual(value)
  }
})

describe('what the reader takes, the schema takes', () => {
  const samples = ['duct/duct.setup.json', 'plate/plate.setup.json', 'duct/duct.machine.json']
  it.each(samples)('%s', name => {
    const text = readFileSync(new URL(`../../samples/${name}`, import.meta.url), 'utf8')
    const fits = name.endsWith('.setup.json') ? fitsSheet : fitsMachine
    expect(fits(valueOf(text)), JSON.stringify(fits.errors)).toBe(true)
  })

  it('the sheet with every key', () => {
    expect(fitsSheet(valueOf(fullSheet)), JSON.stringify(fitsSheet.errors)).toBe(true)
  })

  it('the machine with every key', () => {
    expect(fitsMachine(valueOf(fullMachine)), JSON.stringify(fitsMachine.errors)).toBe(true)
  })

  it.each([
    '{ "shape": "flat", "DC": 10, "LCF": 20 }', '{ "shape": "bull", "DC": 10, "RE": 1, "LCF": 20 }', '{ "shape": "taper", "RE": 0.5, "BHTA": 3, "LCF": 20 }',
    '{ "shape": "taper", "RE": 0.5, "BHTA": 3, "DC": 6 }', '{ "shape": "drill", "DC": 10, "SIG": 118, "LCF": 20 }', '{ "shape": "lollipop", "DC": 6, "DN": 3 }',
    '{ "shape": "apt", "d": 10, "r": 2, "e": 3, "f": 2, "a": 0, "b": 0, "h": 30 }', '{ "shape": "profile", "outline": [[0, 0], [3, 0], { "to": [4, 1], "radius": 1 }, { "to": [3, 2], "radius": 1, "hollow": true }], "LCF": 1 }',
  ])('a cutter %s', cutter => {
    expect(fitsSheet(valueOf(changed(fullSheet, '{ "shape": "ball", "DC": 4, "LCF": 6 }', cutter))), JSON.stringify(fitsSheet.errors)).toBe(true)
  })
})

describe('what the reader refuses for its form, the schema refuses', () => {
  it.each([
    ['"limits": {', '"limts": {'], ['"gouge": 0.02', '"gouge": "0.02"'], ['"gouge": 0.02', '"gouge": -1'], ['[1, 2, 3]', '[1, 2]'], ['"from": "N100"', '"from": 100'],
    ['"shape": "ball"', '"shape": "bell"'], ['"DC": 4,', '"DC": 4, "RE": 2,'], ['"LPR": 38,', ''], ['"Y": 20, ', ''], ['"G55"', '"G53"'], ['"number": 3,', '"number": 3.5,'],
    ['"stock": { "box"', '"stock": { "offset": 1, "box"'],
  ])('%s → %s', (from, to) => {
    expect(fitsSheet(valueOf(changed(fullSheet, from, to)))).toBe(false)
  })

  it.each([
    ['"kind": "linear"', '"kind": "sliding"'], ['"through": [0, 0, -50], ', ''], ['"Y": { "kind"', '"Q": { "kind"'], ['["G20"]', '["20"]'], ['"macro": false', '"macro": true'],
    ['"effect": "none"', '"effect": "nothing"'], ['{ "increments": 0.001 }', '{ "increments": -1 }'],
  ])('%s → %s', (from, to) => {
    expect(fitsMachine(valueOf(changed(fullMachine, from, to)))).toBe(false)
  })
})
