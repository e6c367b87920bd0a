import type { Control, VariableControl } from '../../../shared/machine.ts'
import { usualVariables } from '../../../shared/usual-variables.ts'
import { codes } from '../nc/codes.ts'
import type { Code, Effect, ModalGroup } from '../nc/codes.ts'

// The codes of one control: the table of nc/codes.ts with the machine file's meanings laid over it.

/** Numbers are kept times ten, so that G43.4 is 434. */
const MOST_CODES = 10_000

export interface Dialect {
  /** By the number times ten. */
  readonly g: readonly (Code | undefined)[]
  /** By the number times ten. */
  readonly m: readonly (Code | undefined)[]
}

export function variableRules(control: Control): VariableControl {
  return control.variables === undefined || control.variables === false ? usualVariables : control.variables
}

/** The code a G or M word stands for, or undefined. */
export function codeOf(dialect: Dialect, letter: 'G' | 'M', value: number): Code | undefined {
  const tenfold = Math.round(value * 10)
  // NISTIR 6556 3.3.2.1: a number within 0.0001 of a code counts as the code.
  if (tenfold < 0 || Math.abs(value * 10 - tenfold) > 0.001) return undefined
  return (letter === 'G' ? dialect.g : dialect.m)[tenfold]
}

export function buildDialect(control: Control): Dialect {
  const g: (Code | undefined)[] = new Array<Code | undefined>(MOST_CODES).fill(undefined)
  const m: (Code | undefined)[] = new Array<Code | undefined>(MOST_CODES).fill(undefined)
  const set = (name: string, code: Code | undefined) => {
    const place = placeOf(name)
    if (place !== undefined) (place.letter === 'G' ? g : m)[place.tenfold] = code
  }
  const isKnown = (name: string) => {
    const place = placeOf(name)
    return place !== undefined && (place.letter === 'G' ? g : m)[place.tenfold] !== undefined
  }
  for (const code of codes) set(code.code, code)
  const lay = (names: readonly string[], group: ModalGroup, effect: Effect, says: string, takesAxisWords = false, ends: readonly string[] = []) => {
    for (const name of names) set(name, { code: name, group: groupFor(name, group), effect, says, clause: 'machine file', takesAxisWords, ends })
  }
  lay(control.inch, 'units', 'inch', 'lengths in inches')
  lay(control.metric, 'units', 'metric', 'lengths in millimetres')
  lay(control.tiltedPlaneOn, 'frame', 'tilted-plane-on', 'tilted working plane on', true)
  lay(control.tiltedPlaneOff, 'frame', 'tilted-plane-off', 'tilted working plane off', false, ['G68', ...control.tiltedPlaneOn])
  lay(control.orientTool, 'none', 'orient-tool', 'tool turned square to the tilted plane')
  const lengthEnds = ['G44']
  lay(control.toolCentreOff, 'length-offset', 'tool-centre-off', 'tool-centre control off', false, lengthEnds)
  lay(['G49'], 'length-offset', 'length-off', control.toolCentreOff.includes('G49') ? 'length offset and tool-centre control off' : 'length offset off', false, lengthEnds)
  lay(['G43'], 'length-offset', 'length-on', 'length offset on', false, lengthEnds)
  lay(control.toolCentreOn, 'length-offset', 'tool-centre-on', 'tool-centre control on', false, lengthEnds)
  lay(control.toolVectorOn, 'length-offset', 'tool-vector-on', 'tool-centre control with the tool axis in I J K', false, lengthEnds)
  const allow = (wanted: readonly string[] | undefined, usual: readonly string[], group: ModalGroup, effect: Effect, says: string, takesAxisWords: boolean) => {
    if (wanted === undefined) return
    for (const name of usual) if (!wanted.includes(name)) set(name, undefined)
    for (const name of wanted) if (!isKnown(name)) lay([name], group, effect, says, takesAxisWords)
  }
  allow(control.returnLevel, ['G98', 'G99'], 'cycle-return', 'cycle-return', 'level a cycle returns to', false)
  // The list names, in this order: the call and the return; the call, the modal call and its end.
  allow(control.subprogram?.slice(0, 1), ['M98'], 'none', 'call', 'call of another program', false)
  allow(control.subprogram?.slice(1), ['M99'], 'none', 'return', 'end of a called program', false)
  allow(control.macro?.slice(0, 1), ['G65'], 'one-shot', 'macro', 'call of another program', true)
  allow(control.macro?.slice(1, 2), ['G66'], 'none', 'macro-modal', 'call of another program after each motion', true)
  allow(control.macro?.slice(2), ['G67'], 'none', 'macro-off', 'modal call off', false)
  allow(control.cycles, codes.filter(code => code.effect === 'cycle').map(code => code.code), 'motion', 'cycle', 'fixed cycle', false)
  lay(control.neutral, 'none', 'none', 'no effect on motion')
  for (const [name, definition] of Object.entries(control.define)) {
    set(name, { code: name, group: 'none', effect: definition.effect === 'stop' ? 'stop' : 'none', says: definition.says, clause: 'machine file' })
  }
  return { g, m }
}

/** G and M codes never exclude each other: an M code that switches tool-centre control has no group. */
function groupFor(name: string, group: ModalGroup): ModalGroup {
  return name.toUpperCase().startsWith('M') && group === 'length-offset' ? 'none' : group
}

function placeOf(name: string): { letter: 'G' | 'M', tenfold: number } | undefined {
  const match = /^([GM])0*(\d+(?:\.\d)?)$/i.exec(name.trim())
  if (match === null) return undefined
  const tenfold = Math.round(Number(match[2]) * 10)
  if (!(tenfold >= 0 && tenfold < MOST_CODES)) return undefined
  return { letter: match[1] === 'G' || match[1] === 'g' ? 'G' : 'M', tenfold }
}
