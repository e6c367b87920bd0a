import type { Problem } from '../../../shared/problem.ts'

// Every wording of the interpreter. The keys are those of this table; the ids are those of the rules.

/** Figures for messages: as many decimals as say something, no trailing zeros. */
export function figure(value: number, decimals = 4): string {
  const text = value.toFixed(decimals).replace(/\.?0+$/, '')
  return text === '-0' ? '0' : text
}

/** Length in the program's own unit. */
export function lengthFigure(mm: number, unit: number): string {
  return unit === 25.4 ? `${figure(mm / 25.4, 5)} inch` : `${figure(mm)} mm`
}

const blocks = (count: number) => count === 1 ? '1 block' : `${count.toLocaleString('en-US')} blocks`

export const interpretationProblems = {
  unknownCode: (code: string, count: number) => ({
    rule: 'unknown-code', message: `${code} is neither in the standard's list nor in the machine file (${blocks(count)}). What it does is not simulated; motion is followed as if it were not there.` }),
  groupConflict: (first: string, second: string, group: string) => ({
    rule: 'modal-conflict', message: `${first} and ${second} exclude each other in one block: both set the ${group}. ${second} is followed.` }),
  axisWordConflict: (first: string, second: string) => ({
    rule: 'modal-conflict', message: `${first} and ${second} both take the axis words of this block. They are given to ${second}.` }),
  machineFrameWithout: (code: string, motion: string | undefined) => ({
    rule: 'modal-conflict', message: `${code} goes with G0 or G1 only; ${motion ?? 'no motion code'} is in force. The block is not simulated, and where the axes stand behind it is not known.` }),
  repeatedWord: (letter: string, first: string, second: string) => ({
    rule: 'repeated-word', message: `${letter} stands twice in the block: ${first} and ${second}. ${second} is followed.` }),
  noSuchAxis: (letter: string, machine: string, count: number) => ({
    rule: 'unknown-letter', message: `The machine "${machine}" has no axis ${letter} (${blocks(count)}). Its words are left out.` }),
  notSimulated: (code: string, says: string, count: number) => ({
    rule: 'not-checked', message: `${code} (${says}) is not simulated (${blocks(count)}). Motion while it holds is not checked.` }),
  withoutEffectOnMotion: (code: string, says: string, count: number) => ({
    rule: 'not-checked', message: `${code} (${says}) is not simulated (${blocks(count)}); positions are followed as if it were not there.` }),
  positionLost: (code: string, says: string, count: number) => ({
    rule: 'not-checked', message: `${code} (${says}) is not simulated (${blocks(count)}). Where the axes stand behind it is not known; motion is not checked until each axis has been given a value again.` }),
  cycle: (code: string, count: number) => ({
    rule: 'not-checked', message: `${code}: this cycle is not simulated (${blocks(count)}). Its moves are not checked, and Z is not known until it is given again.` }),
  cycleMisuse: (code: string, because: string) => ({
    rule: 'cycle-misuse', message: `${code} ${because}.` }),
  unknownShift: (code: string, count: number) => ({
    rule: 'not-checked', level: 'note' as const, message: `${code} draws the tool off the wall, and without I and J the machine decides which way (${blocks(count)}). The tool is simulated going straight up.` }),
  compensationMisuse: (code: string, because: string) => ({
    rule: 'radius-compensation-misuse', message: `Radius compensation ${code} ${because}.` }),
  unknownRadius: (code: string, how: string) => ({
    rule: 'not-checked', message: `${code} ${how}: the radius is not known. Motion is not checked until G40 and the block after it.` }),
  noMotionCode: (count: number) => ({
    rule: 'not-checked', message: `Axis words while no motion code (G0, G1, G2, G3) is in force (${blocks(count)}). Whether the control moves here in rapid or at the feed is not known; these moves are not checked.` }),
  arcPlaneWithoutAxis: (letter: string, machine: string, count: number) => ({
    rule: 'not-checked', message: `The arc lies in a plane with ${letter}, an axis the machine "${machine}" does not have (${blocks(count)}). It is not simulated.` }),
  turns: (word: string, count: number) => ({
    rule: 'not-checked', message: `${word} on an arc may ask for several turns (${blocks(count)}). One turn at most is simulated.` }),
  arcWithoutCentre: (code: string, words: string) => ({
    rule: 'arc-without-centre', message: `${code} names neither a centre (${words}) nor a radius R. A straight line to the end point is simulated.` }),
  centreTwice: (letter: string) => ({
    rule: 'modal-conflict', message: `R and ${letter} both give the arc's centre. R is followed.` }),
  centreAtStart: (code: string) => ({
    rule: 'arc-without-centre', message: `The centre of this ${code} lies on its start point, so that it has no radius. A straight line to the end point is simulated.` }),
  radiusWithoutEnd: (code: string) => ({
    rule: 'arc-without-centre', message: `${code} with R ends where it starts, so that R gives no centre; a full circle needs the centre. No motion is simulated.` }),
  chordTooLong: (chord: string, radius: string) => ({
    rule: 'arc-without-centre', message: `The end point lies ${chord} from the start: no arc of radius ${radius} reaches it. A straight line to the end point is simulated.` }),
  radiusMismatch: (startRadius: string, endRadius: string, difference: string, tolerance: string) => ({
    rule: 'arc-radius-mismatch', message: `The centre lies ${startRadius} from the start but ${endRadius} from the end: they differ by ${difference}, allowed are ${tolerance}. A spiral about the centre given is simulated.` }),
  nearHalfTurn: (degrees: string) => ({
    rule: 'arc-near-half-turn', message: `The arc turns ${degrees}° and is given by R: near a half turn the rounding of R moves the centre a long way. Give the centre instead.` }),
  noSuchWrittenOffset: (list: string, number: string) => ({
    rule: 'unset-work-offset', message: `G10 ${list} ${number} names no work offset: with L2, P goes from 1 (G54) to 9 (G59.3). Nothing is written.` }),
  wordsWanted: (code: string, wanted: string) => ({
    rule: 'malformed-word', message: `${code} needs ${wanted}; the block gives none. It has no effect.` }),
  notNegative: (word: string, what: string) => ({
    rule: 'malformed-number', message: `${word}: ${what} is not negative. It is left out.` }),
  noNumber: (word: string, what: string) => ({
    rule: 'malformed-number', message: `${word}: ${what} is a whole number, 0 or more. It is left out.` }),
  manyCodes: (codes: number) => ({
    rule: 'repeated-word', level: 'warning' as const, message: `The block holds ${codes} M codes. Many controls take one, and none by the standard more than four; all are followed.` }),
  probe: (count: number) => ({
    rule: 'not-checked', level: 'note' as const, message: `G38.2 is simulated to the point programmed, as if nothing were touched on the way (${blocks(count)}).` }),
  probeMisuse: (because: string) => ({
    rule: 'cycle-misuse', message: `G38.2 ${because}.` }),
  unsetWorkOffset: (name: string, given: string) => ({
    rule: 'unset-work-offset', message: `${name} is not among the offsets of the setup sheet (${given}). Motion with it in force is not checked.` }),
  toolNotInSetup: (number: number, given: string) => ({
    rule: 'tool-not-in-setup', message: `Tool T${number} is not among the tools of the setup sheet (${given}). Its motion is not checked for contact.` }),
  noTools: () => ({
    rule: 'not-checked', message: 'The setup sheet names no tools: the length offset in force here is taken as nil, so that joint values are wrong by the length of the tool.' }),
  unknownLength: (number: number) => ({
    rule: 'not-checked', message: `No tool of the setup sheet has the length offset H${number}: its length is not known. Motion with it in force is not checked.` }),
  unknownToolLength: () => ({
    rule: 'not-checked', message: 'Length compensation is on without an H and without a known tool: the length is not known. Motion with it in force is not checked.' }),
  unknownStart: (motions: number, axes: string) => ({
    rule: 'not-checked', message: `The machine file gives no home, so that it is not known where the axes stand at the start: ${motions === 1 ? '1 motion is' : `${motions.toLocaleString('en-US')} motions are`} not checked, from here until every axis (${axes}) has been given a value.` }),
  noHome: (code: string) => ({
    rule: 'not-checked', message: `${code} goes home, but the machine file gives no home. Where the axes stand behind it is not known until they are given a value again.` }),
  noRapidRate: (letter: string) => ({
    rule: 'not-checked', message: `The machine file gives no rapid rate for axis ${letter}: rapids that move it are simulated as straight ways, and their time is not counted.` }),
  noLinearSolution: (machine: string) => ({
    rule: 'not-checked', message: `Tool-centre control needs three independent linear axes X, Y and Z; the machine "${machine}" does not have them here. The motion is not checked.` }),
  dwellWithoutTime: (words: string) => ({
    rule: 'not-checked', message: `The dwell has no time that is known (${words}). It counts as nothing.` }),
  moreLikeIt: (rule: string, count: number) => ({
    rule: 'not-checked', message: `${count.toLocaleString('en-US')} more findings of "${rule}" from here on are not listed.` }),
} as const satisfies Record<string, (...values: never[]) => Pick<Problem, 'rule' | 'message' | 'level'>>
