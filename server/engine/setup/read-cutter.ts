import type { Cutter } from '../../../shared/setup.ts'
import { clash, show } from './cutter-fields.ts'
import type { Fields } from './fields.ts'
import { cutterKeys, type CutterShape, cutterShapes } from './keys.ts'
import { readApt } from './read-apt.ts'
import { readProfile } from './read-profile.ts'
import { ROUNDED_DIAMETER, SAME_LENGTH } from './tolerance.ts'

/** The cutter of a tool; undefined where its entry does not make one. Diameters and lengths in mm, angles in radians. */
export function readCutter(tool: Fields): Cutter | undefined {
  const node = tool.value('cutter', { need: 'the cutting part, for example "cutter": { "shape": "ball", "DC": 4, "LCF": 6 }' })
  if (node === undefined) return undefined
  if (node.kind !== 'object') return tool.sayValue('cutter', node, 'write an object in braces, for example { "shape": "ball", "DC": 4, "LCF": 6 }')
  const dotted = `${tool.dotted}.cutter`
  const shapeNode = node.members.find(member => member.key === 'shape')?.value
  const shape = cutterShapes.find(known => shapeNode?.kind === 'string' && shapeNode.value === known)
  if (shape === undefined) {
    const fields = tool.objectIn('cutter', node, `the cutter of ${tool.name}`, dotted)
    fields?.choice('shape', cutterShapes, { need: `its shape, one of ${cutterShapes.map(known => `"${known}"`).join(', ')}` })
    // Which keys the shape has is not known, but that these wait for a value is.
    for (const { key, value } of node.members) if (value.kind === 'null' && key !== 'shape') fields?.sayValue(key, value, 'write a number')
    return undefined
  }
  const fields = tool.objectIn('cutter', node, `the ${shape} cutter of ${tool.name}`, dotted, ['shape', ...cutterKeys[shape]])
  return fields === undefined ? undefined : readers[shape](fields)
}

const readers: Readonly<Record<CutterShape, (fields: Fields) => Cutter | undefined>> = {
  flat: fields => {
    const DC = diameter(fields), LCF = flutes(fields)
    return DC === undefined || LCF === undefined ? undefined : { shape: 'flat', DC, LCF }
  },
  ball: fields => {
    const DC = diameter(fields), LCF = flutes(fields)
    if (DC === undefined || LCF === undefined) return undefined
    return longEnough(fields, LCF, DC / 2, 'its own radius') ? { shape: 'ball', DC, LCF } : undefined
  },
  bull: fields => {
    const DC = diameter(fields), LCF = flutes(fields)
    const RE = fields.length('RE', { above: 0, need: 'the corner radius, for example "RE": 0.5' })
    if (DC === undefined || LCF === undefined || RE === undefined) return undefined
    // Facts of ISO 13399 tools: the corner radius is at most half the diameter, and is a ball at half.
    if (RE > DC / 2 + SAME_LENGTH) {
      return clash(fields, 'RE', `RE ${show(fields, RE)} is more than half of DC ${show(fields, DC)}; a corner radius is at most ${show(fields, DC / 2)}`)
    }
    return longEnough(fields, LCF, RE, 'its corner radius') ? { shape: 'bull', DC, RE: Math.min(RE, DC / 2), LCF } : undefined
  },
  taper: readTaper,
  drill: fields => {
    const DC = diameter(fields), LCF = flutes(fields)
    const SIG = fields.angle('SIG', { above: 0, max: 180, need: 'the point angle in degrees, for example "SIG": 118' })
    if (DC === undefined || LCF === undefined || SIG === undefined) return undefined
    return longEnough(fields, LCF, DC / 2 / Math.tan(SIG / 2), 'its point') ? { shape: 'drill', DC, SIG, LCF } : undefined
  },
  lollipop: readLollipop,
  apt: readApt,
  profile: readProfile,
}

/** DC the ball, DN the neck behind it; LCF, left out, ends where the two meet. */
function readLollipop(fields: Fields): Cutter | undefined {
  const DC = diameter(fields)
  const DN = fields.length('DN', { above: 0, need: 'the diameter of the neck behind the ball, for example "DN": 3' })
  const LCF = fields.length('LCF', { above: 0 })
  if (DC === undefined || DN === undefined) return undefined
  // Facts of ISO 13399 tools: DN < DC where a relieved neck is meant.
  if (DN >= DC) return clash(fields, 'DN', `DN ${show(fields, DN)} is not thinner than DC ${show(fields, DC)}; the neck of a lollipop is thinner than its ball`)
  const meeting = DC / 2 + Math.sqrt(DC * DC - DN * DN) / 2
  if (LCF !== undefined && !longEnough(fields, LCF, meeting, 'the ball up to its neck')) return undefined
  return { shape: 'lollipop', DC, DN, LCF: Math.max(LCF ?? meeting, meeting) }
}

/** RE at the tip, BHTA the half angle; DC and LCF follow from each other, so one of them is enough. */
function readTaper(fields: Fields): Cutter | undefined {
  const RE = fields.length('RE', { min: 0, need: 'the radius of the tip, for example "RE": 0.5 (0 for a sharp point)' })
  const BHTA = fields.angle('BHTA', { above: 0, below: 90, need: 'the half angle of the taper in degrees, for example "BHTA": 3' })
  const DC = fields.length('DC', { above: 0 })
  const LCF = fields.length('LCF', { above: 0 })
  if (!fields.has('DC') && !fields.has('LCF')) fields.sayMissing('LCF', '"LCF", the length of its flutes, or "DC", its diameter at their end')
  if (RE === undefined || BHTA === undefined || (DC === undefined && LCF === undefined)) return undefined
  // The flank touches the ball of the tip at this height and radius (tangent of a circle).
  const height = RE * (1 - Math.sin(BHTA)), radius = RE * Math.cos(BHTA)
  if (LCF === undefined) {
    const widest = DC ?? 0
    if (widest / 2 <= radius) return clash(fields, 'DC', `DC ${show(fields, widest)} is no wider than the ball of its tip, ${show(fields, 2 * radius)} where the taper begins`)
    return { shape: 'taper', RE, BHTA, DC: widest, LCF: height + (widest / 2 - radius) / Math.tan(BHTA) }
  }
  if (!longEnough(fields, LCF, height, 'the ball of its tip')) return undefined
  const widest = 2 * (radius + (LCF - height) * Math.tan(BHTA))
  if (DC !== undefined && Math.abs(DC - widest) > ROUNDED_DIAMETER) {
    return clash(fields, 'DC', `RE, BHTA and LCF make it ${show(fields, widest)} wide at the end of its flutes, not DC ${show(fields, DC)}; correct one of them, or leave out DC or LCF`)
  }
  return { shape: 'taper', RE, BHTA, DC: widest, LCF }
}

function diameter(fields: Fields): number | undefined {
  return fields.length('DC', { above: 0, need: 'the cutting diameter, for example "DC": 4' })
}

function flutes(fields: Fields): number | undefined {
  return fields.length('LCF', { above: 0, need: 'the length of its flutes, for example "LCF": 6' })
}

function longEnough(fields: Fields, LCF: number, least: number, what: string): boolean {
  if (LCF >= least - SAME_LENGTH) return true
  clash(fields, 'LCF', `LCF ${show(fields, LCF)} is shorter than ${what}, ${show(fields, least)} high; the flutes reach at least that far`)
  return false
}
