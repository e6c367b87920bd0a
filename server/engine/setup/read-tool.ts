import { cutterTop } from '../../../shared/cutter-outline.ts'
import type { HolderSegment, Tool, ToolSetAside } from '../../../shared/setup.ts'
import { cornerHeight } from '../../../shared/tool-length.ts'
import { show } from './cutter-fields.ts'
import type { Fields } from './fields.ts'
import { sheetKeys } from './keys.ts'
import { readCutter } from './read-cutter.ts'
import { SAME_LENGTH } from './tolerance.ts'

export type ReadTool =
  | { readonly kind: 'tool', readonly tool: Tool }
  | { readonly kind: 'set-aside', readonly tool: ToolSetAside }

/** One entry of the sheet's tools; undefined where not even its number is there. Lengths mm, angles radians. */
export function readTool(fields: Fields): ReadTool | undefined {
  const { notes } = fields
  const number = fields.number('number', { whole: true, min: 1, max: 99_999_999, need: 'the number the T word calls, for example "number": 3' })
  const name = fields.text('name') ?? fields.name
  const lengthOffset = fields.number('lengthOffset', { whole: true, min: 0 }) ?? number ?? 0
  const radiusOffset = fields.number('radiusOffset', { whole: true, min: 0 })
  const radiusWear = fields.length('radiusWear')
  const LPR = fields.length('LPR', { above: 0, need: 'the stick-out, tip to the holder\'s face, for example "LPR": 38' })
  const cutter = readCutter(fields)
  const neck = readNeck(fields)
  const shank = readShank(fields)
  const holder = fields.objects('holder', i => `holder segment ${i + 1} of ${fields.name}`, sheetKeys.segment).flatMap(readSegment)
  const NOF = fields.number('NOF', { whole: true, min: 1, max: 100 })
  const centreCutting = fields.flag('centreCutting') ?? true
  const point = fields.choice('point', ['tip', 'centre']) ?? 'tip'
  const maxSpeed = fields.number('maxSpeed', { above: 0 })
  const maxFeed = fields.length('maxFeed', { above: 0 })
  if (number === undefined) return undefined
  const aside: ToolSetAside = { number, name, lengthOffset, span: fields.spanOf('number') }
  if (cutter === undefined || LPR === undefined) return { kind: 'set-aside', tool: aside }
  const tool: Tool = {
    number, name, cutter, neck, shank, LPR, holder, NOF, centreCutting, point, lengthOffset, radiusOffset, radiusWear, maxSpeed, maxFeed,
    span: fields.spanOf('number'),
  }
  sayContradictions(fields, tool)
  // A misspelt neck is a missing neck: a tool with any fault is not searched in a shape that may be wrong.
  if (fields.hasFault) return { kind: 'set-aside', tool: aside }
  if (holder.length === 0) {
    notes.say(fields.spanOf('number'), `Tool ${number} (${name}) has no holder in the sheet: nothing is checked above its stick-out of ${show(fields, LPR)}. Write "holder": [ { "diameter": …, "length": … } ].`, { rule: 'not-checked', level: 'note' })
  }
  return { kind: 'tool', tool }
}

function readNeck(tool: Fields): Tool['neck'] {
  const fields = tool.object('neck', `the neck of ${tool.name}`, sheetKeys.neck)
  const DN = fields?.length('DN', { above: 0, need: 'its diameter, for example "DN": 3.7' })
  const LU = fields?.length('LU', { above: 0, need: 'how far above the tip it ends, for example "LU": 24' })
  return DN === undefined || LU === undefined ? undefined : { DN, LU }
}

function readShank(tool: Fields): Tool['shank'] {
  const fields = tool.object('shank', `the shank of ${tool.name}`, sheetKeys.shank)
  const DCONMS = fields?.length('DCONMS', { above: 0, need: 'its diameter, for example "DCONMS": 6' })
  const BHTA = fields?.angle('BHTA', { above: 0, below: 90 })
  return DCONMS === undefined ? undefined : { DCONMS, BHTA }
}

function readSegment(fields: Fields): HolderSegment[] {
  const diameter = fields.length('diameter', { above: 0, need: 'its diameter, for example "diameter": 12' })
  const topDiameter = fields.length('topDiameter', { above: 0 }) ?? diameter
  const length = fields.length('length', { above: 0, need: 'its length along the axis, for example "length": 30' })
  if (diameter === undefined || topDiameter === undefined || length === undefined) return []
  return [{ diameter, topDiameter, length }]
}

/** Figures of ISO 13399 that cannot hold together: LCF ≤ LU ≤ LPR, and what is clamped fits what clamps it. */
function sayContradictions(fields: Fields, tool: Tool): void {
  const { cutter, neck, shank, LPR, holder } = tool
  const mm = (length: number) => show(fields, length)
  const say = (key: string, message: string) => fields.notes.say(fields.notes.spans[`${fields.dotted}.${key}`] ?? fields.spanOf(key), `On ${fields.name}, ${message}.`)
  if (cutter.LCF > LPR + SAME_LENGTH) {
    say('LPR', `the flutes LCF ${mm(cutter.LCF)} are longer than the stick-out LPR ${mm(LPR)}; they would begin inside the holder`)
    return
  }
  const [topRadius, top] = cutterTop(cutter)
  if (top > LPR + SAME_LENGTH) {
    say('LPR', `the cutter's outline, ${mm(top)} high, is longer than the stick-out LPR ${mm(LPR)}; it would reach into the holder`)
    return
  }
  const topName = top > cutter.LCF + SAME_LENGTH ? 'top of the cutter\'s outline' : 'end of the flutes, LCF'
  if (neck !== undefined && neck.LU < top - SAME_LENGTH) say('neck.LU', `the neck ends LU ${mm(neck.LU)} above the tip, below the ${topName} ${mm(top)}; LU is measured from the tip`)
  if (neck !== undefined && neck.LU > LPR + SAME_LENGTH) say('neck.LU', `the neck ends LU ${mm(neck.LU)} above the tip, inside the holder, whose face is at LPR ${mm(LPR)}`)
  const face = holder[0]
  if (shank !== undefined && face !== undefined && shank.DCONMS > face.diameter + SAME_LENGTH) {
    say('shank.DCONMS', `the shank DCONMS ${mm(shank.DCONMS)} is wider than the face of the holder that clamps it, ${mm(face.diameter)}`)
  }
  if (shank?.BHTA !== undefined) {
    const from = neck?.LU ?? top
    const wider = shank.DCONMS - (neck?.DN ?? 2 * topRadius)
    const end = from + Math.max(0, wider) / 2 / Math.tan(shank.BHTA)
    if (end > LPR + SAME_LENGTH) say('shank.BHTA', `the cone from the neck to the shank would end ${mm(end)} above the tip, inside the holder, whose face is at LPR ${mm(LPR)}; the angle, the diameters or the stick-out is not right`)
  }
  if (tool.point === 'centre' && cornerHeight(cutter) === undefined) {
    say('point', `"point": "centre" has no meaning: a ${cutter.shape} cutter has no corner radius; write "tip"`)
  }
}
