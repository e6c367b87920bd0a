import type { Machine } from '../../../shared/machine.ts'
import type { Word } from '../nc/block.ts'
import { addresses } from '../nc/addresses.ts'
import { buildDialect, codeOf } from '../machine/dialect.ts'
import { degreesText, lengthText, type LengthUnit } from './number-text.ts'

/** The word and what it means on this control, as one line of Markdown. */
export function wordMeaning(word: Word, source: string, machine: Machine, unit: LengthUnit): string {
  const { letter, value } = word
  if (letter === 'G' || letter === 'M') return codeMeaning(letter, value, source, machine)
  const address = addresses.find(one => one.letter === letter)
  if (address === undefined) return `**${source}**: a letter without a meaning here`
  const axis = machine.axes.find(one => one.letter === letter)
  const figure = axis?.kind === 'rotary' || address.quantity === 'angle'
    ? `, ${degreesText(value * Math.PI / 180)}`
    : address.quantity === 'length' ? `, ${lengthText(value * unit, unit)}` : ''
  const missing = axis === undefined && 'XYZABCUVW'.includes(letter) ? '; this machine has no such axis' : ''
  return `**${source}**: ${address.meaning}${figure}${missing}`
}

function codeMeaning(letter: 'G' | 'M', value: number, source: string, machine: Machine): string {
  const known = codeOf(buildDialect(machine.control), letter, value)
  if (known === undefined) return `**${source}**: neither the standard nor the machine file says what this code does`
  return `**${source}**: ${known.says} (${known.clause})`
}
