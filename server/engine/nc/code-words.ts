// Which words go with a code, for the editor: NISTIR 6556 3.5 (arcs, dwell, offsets, cycles 3.5.16); "trade" codes by
// common practice. What the interpreter makes of them stands with it; nothing is decided here.

export interface CodeWord {
  /** Letters of which one is written: `I J K` stand together, as do `R`. */
  readonly letter: string
  readonly says: string
  readonly isNeeded: boolean
}

const needed = (letter: string, says: string): CodeWord => ({ letter, says, isNeeded: true })
const optional = (letter: string, says: string): CodeWord => ({ letter, says, isNeeded: false })

const hole = [optional('X', 'where the hole is, along X'), optional('Y', 'where the hole is, along Y'), needed('Z', 'bottom of the hole; stays in force'), needed('R', 'level where the feed begins; stays in force')]
const repeats = optional('L', 'how many holes, a whole number; with incremental positions each one further')
const dwell = needed('P', 'dwell at the bottom')
const peck = needed('Q', 'depth of one peck, above zero')
const end = [optional('X', 'end point along X'), optional('Y', 'end point along Y'), optional('Z', 'end point along Z')]
const centre = [optional('I', 'centre along X'), optional('J', 'centre along Y'), optional('K', 'centre along Z'), optional('R', 'radius in the place of the centre; negative for more than half a turn')]
const shift = [optional('X', 'along X'), optional('Y', 'along Y'), optional('Z', 'along Z')]

/** Words by code, in the order people write them. */
export const codeWords: Readonly<Record<string, readonly CodeWord[]>> = {
  G2: [...end, ...centre, optional('P', 'number of turns of a helix')],
  G3: [...end, ...centre, optional('P', 'number of turns of a helix')],
  G4: [needed('P', 'time to wait')],
  G10: [needed('L', '2 sets the offset, 20 sets it so that the tool stands at the values given'), needed('P', 'number of the work offset, 1 for G54'), ...shift],
  G28: [...shift.map(({ letter }) => optional(letter, `point to go through, along ${letter}`))],
  G30: [...shift.map(({ letter }) => optional(letter, `point to go through, along ${letter}`))],
  G41: [optional('D', 'number of the radius offset; left out: that of the tool')],
  G42: [optional('D', 'number of the radius offset; left out: that of the tool')],
  G43: [needed('H', 'number of the length offset')],
  G52: shift,
  'G54.1': [needed('P', 'number of the further work offset')],
  G65: [needed('P', 'number of the program'), optional('L', 'how often'), optional('A', 'argument: any other letter fills its local variable, A is #1')],
  G66: [needed('P', 'number of the program, called after each motion'), optional('A', 'argument: any other letter fills its local variable, A is #1')],
  G73: [...hole, peck, repeats],
  G74: [...hole, repeats],
  G76: [...hole, optional('I', 'way off the wall along X'), optional('J', 'way off the wall along Y'), optional('P', 'dwell at the bottom'), repeats],
  G81: [...hole, repeats],
  G82: [...hole, dwell, repeats],
  G83: [...hole, peck, repeats],
  G84: [...hole, repeats],
  G85: [...hole, repeats],
  G86: [...hole, dwell, repeats],
  G87: [...hole, needed('I', 'way off the wall along X'), needed('J', 'way off the wall along Y'), needed('K', 'top of the counterbore'), repeats],
  G88: [...hole, dwell, repeats],
  G89: [...hole, dwell, repeats],
  G92: shift.map(({ letter, says }) => optional(letter, `what the present position ${says} is called from here`)),
  M3: [optional('S', 'revolutions per minute')],
  M4: [optional('S', 'revolutions per minute')],
  M6: [optional('T', 'number of the tool')],
  M98: [needed('P', 'number of the program'), optional('L', 'how often')],
  M99: [optional('P', 'sequence number to go back to')],
}

/** Words of the codes whose names the machine file gives. */
export const wordsByEffect: Readonly<Record<string, readonly CodeWord[]>> = {
  'tool-centre-on': [needed('H', 'number of the length offset')],
  'tool-vector-on': [needed('H', 'number of the length offset'), optional('I', 'tool axis along X'), optional('J', 'tool axis along Y'), optional('K', 'tool axis along Z')],
  'tilted-plane-on': [
    optional('X', 'origin of the plane along X'), optional('Y', 'origin of the plane along Y'), optional('Z', 'origin of the plane along Z'),
    optional('I', 'first angle, degrees'), optional('J', 'second angle, degrees'), optional('K', 'third angle, degrees'),
  ],
  'orient-tool': [optional('P', 'which of the two ways to hold the tool')],
}
