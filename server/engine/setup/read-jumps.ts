import type { Control, VariableControl } from '../../../shared/machine.ts'
import { expressionFunctions, usualVariables } from '../../../shared/usual-variables.ts'
import type { Fields } from './fields.ts'
import { axisLetters, machineKeys } from './keys.ts'

type Jumps = Pick<Control, 'variables' | 'jumps' | 'callDepth' | 'insideCorner' | 'blockSkip'>

/** What the control does with variables, jumps, calls and skip switches; what the file leaves out is left out here too. */
export function readJumps(control: Fields): Jumps {
  const variables = readVariables(control)
  const jumps = control.has('jumps') ? control.flag('jumps') : undefined
  const callDepth = control.number('callDepth', { above: 0, max: 100 })
  const insideCorner = control.choice('insideCorner', ['intersect', 'error'])
  const blockSkip = readSkips(control)
  return {
    ...variables === undefined ? {} : { variables },
    ...jumps === undefined ? {} : { jumps },
    ...callDepth === undefined ? {} : { callDepth: Math.floor(callDepth) },
    ...insideCorner === undefined ? {} : { insideCorner },
    ...blockSkip === undefined ? {} : { blockSkip },
  }
}

function readSkips(control: Fields): number[] | undefined {
  const wanted = 'the numbers of the switches that are on, for example [1]'
  return control.list('blockSkip', wanted)?.flatMap(item => {
    if (item.kind === 'number' && Number.isInteger(item.value) && item.value >= 1 && item.value <= 9) return [item.value]
    control.sayValue('blockSkip', item, `write ${wanted}`)
    return []
  })
}

function readVariables(control: Fields): VariableControl | false | undefined {
  const node = control.value('variables')
  if (node === undefined) return undefined
  if (node.kind === 'boolean' && !node.value) return false
  if (node.kind !== 'object') return control.sayValue('variables', node, 'write an object, or false where the control has no variables')
  const fields = control.objectIn('variables', node, '"variables"', 'control.variables', machineKeys.variables)
  if (fields === undefined) return undefined
  const last = fields.number('last', { above: 33 })
  return {
    unset: fields.choice('unset', ['unknown', 'zero']) ?? usualVariables.unset,
    named: fields.has('named') ? fields.flag('named') ?? false : usualVariables.named,
    ...last === undefined ? {} : { last },
    axes: readAxisOrder(fields) ?? usualVariables.axes,
    fix: fields.choice('fix', ['down', 'toward-zero']) ?? usualVariables.fix,
    signBefore: fields.has('signBefore') ? fields.flag('signBefore') ?? true : usualVariables.signBefore,
    spellings: readSpellings(fields) ?? usualVariables.spellings,
  }
}

function readAxisOrder(fields: Fields): string | undefined {
  const text = fields.text('axes')
  if (text === undefined || [...text].every(letter => axisLetters.includes(letter))) return text
  const node = fields.value('axes')
  return node === undefined ? undefined : fields.sayValue('axes', node, 'write the letters of the axes in the order of their variables, for example "XYZABC"')
}

function readSpellings(fields: Fields): Record<string, string> | undefined {
  const words = fields.object('spellings', '"spellings"')
  if (words === undefined) return undefined
  return Object.fromEntries(words.keys.flatMap(key => {
    const meaning = words.choice(key, expressionFunctions)
    return meaning === undefined ? [] : [[key.toUpperCase(), meaning]]
  }))
}
