import type { Stock, StockShape } from '../../../shared/setup.ts'
import { type Fields, radians } from './fields.ts'
import { sheetKeys } from './keys.ts'
import { readPlacement } from './read-placement.ts'
import { resolveBeside } from './resolve-path.ts'

/** The blank, in one of its forms; undefined where it is not given, or not so that it can be used. */
export function readStock(sheet: Fields): Stock | undefined {
  const fields = sheet.object('stock', 'the stock', sheetKeys.stock)
  if (fields === undefined) return undefined
  const kinds = ['box', 'cylinder', 'mesh', 'offset', 'from'].filter(kind => fields.has(kind))
  if (kinds.length !== 1) {
    fields.notes.say(sheet.keySpanOf('stock'), `The stock is given ${kinds.length === 0 ? 'no shape' : `as ${kinds.join(' and ')} at once`}; write one of "box", "cylinder", "mesh", "offset" or "from".`)
    return undefined
  }
  const pitch = fields.length('pitch', { above: 0 }), shape = readShape(fields)
  if (shape === undefined || (pitch === undefined && fields.has('pitch'))) return undefined
  return pitch === undefined ? shape : { ...shape, pitch }
}

function readShape(fields: Fields): StockShape | undefined {
  if (fields.has('box')) return readBox(fields)
  if (fields.has('cylinder')) return readCylinder(fields)
  if (fields.has('from')) return readFrom(fields)
  if (fields.has('mesh')) {
    const mesh = readPlacement(fields)
    return mesh === undefined ? undefined : { kind: 'mesh', mesh }
  }
  const offset = fields.length('offset', { min: 0 })
  return offset === undefined ? undefined : { kind: 'offset', offset }
}

function readBox(stock: Fields): StockShape | undefined {
  const fields = stock.object('box', 'the box of the stock', sheetKeys.box)
  const min = fields?.triple('min', stock.notes.unit, { need: 'its lowest corner, for example "min": [-40, -40, -50]' })
  const max = fields?.triple('max', stock.notes.unit, { need: 'its highest corner, for example "max": [40, 40, 2]' })
  if (fields === undefined || min === undefined || max === undefined) return undefined
  const flat = ['X', 'Y', 'Z'].find((_, i) => (max[i] ?? 0) <= (min[i] ?? 0))
  if (flat !== undefined) {
    fields.notes.say(fields.spanOf('max'), `The box of the stock has no room in ${flat}: its "max" is not above its "min" there.`)
    return undefined
  }
  return { kind: 'box', min, max }
}

function readCylinder(stock: Fields): StockShape | undefined {
  const fields = stock.object('cylinder', 'the cylinder of the stock', sheetKeys.cylinder)
  const diameter = fields?.length('diameter', { above: 0, need: 'its diameter, for example "diameter": 80' })
  const bottom = fields?.length('bottom', { need: 'the height of its lower face, for example "bottom": -50' })
  const top = fields?.length('top', { need: 'the height of its upper face, for example "top": 2' })
  if (fields === undefined || diameter === undefined || bottom === undefined || top === undefined) return undefined
  if (top <= bottom) {
    fields.notes.say(fields.spanOf('top'), 'The "top" of the stock\'s cylinder is not above its "bottom".')
    return undefined
  }
  return { kind: 'cylinder', diameter, bottom, top }
}

/** The stock that another set-up leaves, and how its part frame lies in this one. */
function readFrom(fields: Fields): StockShape | undefined {
  const { notes } = fields
  const translate = fields.triple('translate', notes.unit) ?? [0, 0, 0]
  const rotate = fields.triple('rotate', radians(1)) ?? [0, 0, 0]
  const from = fields.text('from', { need: 'the sheet whose programs leave the stock, for example "from": "op10.setup.json"' })
  return from === undefined || fields.hasFault ? undefined : { kind: 'from', path: resolveBeside(notes.path, from), translate, rotate }
}
