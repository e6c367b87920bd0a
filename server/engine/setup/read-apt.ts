import { endOfStep, sevenParameterOutline, type SevenParameters, widestRadius } from '../../../shared/cutter-outline.ts'
import type { Cutter } from '../../../shared/setup.ts'
import { clash, show } from './cutter-fields.ts'
import type { Fields } from './fields.ts'
import { SAME_LENGTH, TANGENT } from './tolerance.ts'

// The cutter statement's seven parameters say some things twice: the corner must touch both lines.

export function readApt(fields: Fields): Cutter | undefined {
  const d = fields.length('d', { min: 0, need: '"d": twice the distance from the axis to where the lower and the upper line meet' })
  const r = fields.length('r', { min: 0, need: '"r": the corner radius' })
  const e = fields.length('e', { need: '"e": the distance from the axis to the centre of the corner' })
  const f = fields.length('f', { need: '"f": the height of that centre above the tip' })
  const a = fields.angle('a', { min: 0, below: 90, need: '"a": the angle of the lower line from square to the axis, degrees' })
  const b = fields.angle('b', { above: -90, below: 90, need: '"b": the angle of the upper line from the axis, degrees' })
  const h = fields.length('h', { above: 0, need: '"h": the height of the cutter above the tip' })
  const LCF = fields.length('LCF', { above: 0 }) ?? h
  if (d === undefined || r === undefined || e === undefined || f === undefined || a === undefined || b === undefined || h === undefined || LCF === undefined) return undefined
  const given: SevenParameters = { d, r, e, f, a, b, h }
  if (!touchesLines(fields, given)) return undefined
  const outline = sevenParameterOutline(given), last = outline[outline.length - 1]
  const top = last === undefined ? 0 : endOfStep(last)[0]
  if (!(top > SAME_LENGTH)) return clash(fields, 'h', `the upper line meets the axis below h ${show(fields, h)}; the cutter must be wider than a point at its upper end`)
  if (LCF > h + SAME_LENGTH) return clash(fields, 'LCF', `LCF ${show(fields, LCF)} is longer than the cutter itself, h ${show(fields, h)}`)
  return { shape: 'apt', ...given, DC: 2 * widestRadius(outline), LCF }
}

/** Tangency of the corner (ISO 3592): f cos a − e sin a = r, and (d/2 − e) cos b + (f − (d/2) tan a) sin b = r. */
function touchesLines(fields: Fields, { d, r, e, f, a, b }: SevenParameters): boolean {
  if (r > 0 && a + b > Math.PI / 2 + 1e-9) {
    clash(fields, 'b', `the angles a and b make more than 90° together, so that the lines turn inward where they meet; such a corner has no radius: write "r": 0, or describe the cutter as a "profile"`)
    return false
  }
  if (Math.abs(f * Math.cos(a) - e * Math.sin(a) - r) > TANGENT) {
    clash(fields, 'f', `a corner with r ${show(fields, r)} and e ${show(fields, e)} touches the lower line when f is ${show(fields, (r + e * Math.sin(a)) / Math.cos(a))}, not ${show(fields, f)}; a corner that does not touch it can be described as a "profile"`)
    return false
  }
  if (e + r * Math.sin(a) < -TANGENT) {
    clash(fields, 'e', `the corner's centre lies so far beyond the axis, e ${show(fields, e)}, that the corner does not reach the lower line`)
    return false
  }
  if (Math.abs((d / 2 - e) * Math.cos(b) + (f - d / 2 * Math.tan(a)) * Math.sin(b) - r) > TANGENT) {
    const apart = Math.cos(b) - Math.tan(a) * Math.sin(b)
    const wanted = Math.abs(apart) < 1e-9 ? '' : ` when d is ${show(fields, 2 * (r + e * Math.cos(b) - f * Math.sin(b)) / apart)}`
    clash(fields, 'd', `the corner touches the upper line${wanted}, not with d ${show(fields, d)}; a corner that does not touch it can be described as a "profile"`)
    return false
  }
  return true
}
