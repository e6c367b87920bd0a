import { numbersIn, stepsIn, type SetupAnswers } from '../../../shared/setup-questions.ts'
import { lengthNumber } from './number-text.ts'
import type { Extent, ProgramSurvey, ToolSection, ToolUse } from './program-survey.ts'
import { builtIn, sizesOf } from './setup-questions.ts'

/** What the draft says about files: names as the sheet is to write them. */
export interface DraftNames {
  /** The program, relative to the sheet's folder, with forward slashes. */
  readonly program: string
}

/**
 * A setup sheet started from what a program shows: JSON with comments. What only people know stands
 * as `null` with FILL IN beside it, unless it has been answered; the reader of the sheet reports each null until it is a value.
 */
export function setupDraft(survey: ProgramSurvey, { program }: DraftNames, answers: SetupAnswers = {}): string {
  const unit = survey.unit ?? 'mm'
  const lines = [
    '{',
    `  // Setup sheet for ${oneLine(program)}, started from the program. What only people know stands as null, marked FILL IN:`,
    '  // every null is reported until a value stands there, and what hangs on it is not checked. Measure at the machine.',
    field('units', unit, survey.unit === undefined ? 'the unit of the lengths in this sheet; the program does not state one unit for all its motion' : 'the program is in this unit; lengths of this sheet are too'),
    field('programs', [program], 'the programs this sheet is for; * stands for any characters'),
    ...machineLines(answers),
    field('baseOffset', survey.offsets[0] ?? 'G54', baseWords(survey)),
    '',
    `  // ${toFill(namesOf(survey).some(name => answers[`offset.${name}`] === undefined))}where program zero lies, in machine coordinates, as read off the machine (rotary axes in degrees).`,
    '  "offsets": {',
    ...offsetLines(survey, answers),
    '  },',
    '',
    ...extentLines(survey, unit),
    '  "part": {',
    ...meshLines(answers),
    '    "rotate": [0, 0, 0],             // how the mesh lies from program zero: turned about X, then Y, then Z, in degrees,',
    '    "translate": [0, 0, 0]           // then moved. Right as it stands only where the mesh has its zero at program zero',
    '  },',
    '  // The blank may follow: "stock": { "box": { "min": [X, Y, Z], "max": [X, Y, Z] } }, or a cylinder, a mesh, an offset from the part.',
    '',
    '  // What is allowed. These are what holds where they are left out; whether they are right for this part is for you to say.',
    ...limitLines(unit, answers),
    '',
    ...passLines(survey),
    '',
    ...toolLines(survey, unit, answers),
    '}',
  ]
  return lines.join('\n') + '\n'
}

function field(key: string, value: unknown, comment: string): string {
  return `  ${`"${key}": ${JSON.stringify(value)},`.padEnd(34)} // ${comment}`
}

function baseWords({ offsets }: ProgramSurvey): string {
  const what = 'the work offset whose zero is the part\'s own zero'
  return offsets.length > 1 ? `${what}. The program uses ${offsets.join(', ')}: is it this one?` : what
}

/** What stands before words about a value that nobody has given yet. */
function toFill(isOpen: boolean): string {
  return isOpen ? 'FILL IN: ' : ''
}

/** The words of an answer as the sheet has them, or `null`. */
function textOr(answer: string | undefined): string {
  return answer === undefined ? 'null' : JSON.stringify(answer.trim())
}

function numberOr(answer: string | undefined, name: string): string {
  return String(numbersIn(answer ?? '', [name])?.[0] ?? null)
}

function machineLines({ machine }: SetupAnswers): string[] {
  if (machine === builtIn) return []
  return [field('machine', machine?.trim() ?? null, machine === undefined ? 'FILL IN: your machine file, such as "mill.machine.json" (left out: a built-in table-table machine)' : 'the machine file')]
}

function meshLines({ 'part.mesh': mesh, 'part.units': units }: SetupAnswers): string[] {
  const line = (words: string, comment: string) => `    ${words.padEnd(32)} // ${comment}`
  return [
    line(`"mesh": ${textOr(mesh)},`, `${toFill(mesh === undefined)}the finished part${mesh === undefined ? ', such as "part.stl" (STL, PLY, OBJ, 3MF or glTF)' : ''}`),
    // These forms say their unit themselves.
    ...mesh !== undefined && /\.(3mf|gltf|glb)$/i.test(mesh.trim()) ? []
      : [line(`"units": ${textOr(units)},`, `${toFill(units === undefined)}"mm" or "inch", the unit of that file${units === undefined ? ' (3MF and glTF have their own: take this line out)' : ''}`)],
  ]
}

function namesOf({ offsets }: ProgramSurvey): readonly string[] {
  return offsets.length === 0 ? ['G54'] : offsets
}

function offsetLines(survey: ProgramSurvey, answers: SetupAnswers): string[] {
  const names = namesOf(survey), letters = ['X', 'Y', 'Z', ...survey.rotary]
  return names.map((name, i) => `    ${offsetLine(name, letters, numbersIn(answers[`offset.${name}`] ?? '', letters))}${i < names.length - 1 ? ',' : ''}`)
}

/** A work offset, with null for what is not known yet. */
export function offsetLine(name: string, letters: readonly string[], values: readonly number[] = []): string {
  return `"${name}": { ${letters.map((letter, i) => `"${letter}": ${values[i] ?? 'null'}`).join(', ')} }`
}

function extentLines({ extents }: ProgramSurvey, unit: 'mm' | 'inch'): string[] {
  if (extents.size === 0) return ['  // The program moves no axis by a word of its own.']
  const order = 'XYZUVWABC'
  const words = [...extents].sort(([a], [b]) => order.indexOf(a) - order.indexOf(b)).map(([letter, extent]) =>
    `${letter} ${number(extent.low, unit)} to ${number(extent.high, unit)}${'ABC'.includes(letter) ? '°' : ''}`)
  return [
    `  // The program's blocks end between these places, in its own coordinates (${unit}); the part should lie among them:`,
    `  // ${words.join(', ')}`,
  ]
}

function limitLines(unit: 'mm' | 'inch', { 'limits.gouge': gouge }: SetupAnswers): string[] {
  const scale = unit === 'mm' ? 1 : 25.4
  const value = (mm: number) => number(mm / scale, unit)
  return [
    '  "limits": {',
    `    ${`"gouge": ${gouge === undefined ? value(0.01) : numberOr(gouge, 'gouge')},`.padEnd(32)} // deepest cut allowed below the part's surface`,
    '    "stockToLeave": 0,               // material left on purpose',
    `    "clearance": { "neck": ${value(0.15)}, "shank": ${value(0.15)}, "holder": ${value(1)}, "rapid": ${value(1)} },`,
    '    "axisStep": 5                    // largest turn of the tool axis in one cutting block, degrees',
    '  },',
  ]
}

function passLines({ tools }: ProgramSurvey): string[] {
  const first = tools.find(tool => tool.sections.some(({ firstNumber }) => firstNumber !== undefined))
  const section = first?.sections[0]
  const example = first === undefined || section?.firstNumber === undefined ? '{ "tools": [1], "limits": { "gouge": 0.02 } }'
    : `{ "tools": [${first.number}], "from": "N${section.firstNumber}", "to": "N${section.lastNumber}", "limits": { "gouge": 0.02 } }`
  return [
    '  // What differs for some tools or blocks, later entries win. For example:',
    `  //   ${example}`,
    '  "passes": [],',
  ]
}

function toolLines(survey: ProgramSurvey, unit: 'mm' | 'inch', answers: SetupAnswers): string[] {
  const { tools, movesWithoutTool, callsOthers } = survey
  const notes = [
    ...movesWithoutTool ? ['  // The program moves before it calls a tool: whatever then stands in the spindle is not in this list.'] : [],
    ...callsOthers ? ['  // The program calls others; tools that only those call are not in this list.'] : [],
  ]
  if (tools.length === 0) return [...notes, '  "tools": []                        // FILL IN: the program calls no tool by number, so none could be started here']
  return [
    ...notes,
    '  // From the tip upward, symbols of ISO 13399. The comments quoted are the program\'s; whether they are true of the tool at the machine is for you to say.',
    '  "tools": [',
    ...tools.flatMap((tool, i) => [...toolLinesOf(tool, unit, answers), i < tools.length - 1 ? '    },' : '    }']),
    '  ]',
  ]
}

/** A tool as far as the program shows it, without its closing brace. */
export function toolLinesOf(tool: ToolUse, unit: 'mm' | 'inch', answers: SetupAnswers = {}): string[] {
  const answer = (name: string) => answers[`tool.${tool.number}.${name}`]
  const [length, ...moreLengths] = tool.lengthOffsets, [radius, ...moreRadii] = tool.radiusOffsets
  const used = [
    tool.sections.map(sectionWords).join(' and '),
    ...tool.speeds === undefined ? [] : [`S ${range(tool.speeds)}`],
    ...tool.feeds === undefined ? [] : [`F ${range(tool.feeds)}`],
    ...moreLengths.length === 0 ? [] : [`H ${tool.lengthOffsets.join(', ')}`],
    ...moreRadii.length === 0 ? [] : [`D ${tool.radiusOffsets.join(', ')}`],
  ]
  return [
    `    // T${tool.number}: ${used.join('; ')}.${tool.comments.length === 0 ? ' The program has no comment on it.' : ''}`,
    ...tool.comments.map(words => `    //   (${oneLine(words)})`),
    '    {',
    `      "number": ${tool.number}, "name": "tool ${tool.number}",`,
    ...cutterLines(answer),
    '      // A relieved neck, where there is one: "neck": { "DN": diameter, "LU": its end above the tip },',
    line(`"shank": { "DCONMS": ${numberOr(answer('DCONMS'), 'DCONMS')} },`, `${toFill(answer('DCONMS') === undefined)}diameter of the shank`),
    line(`"LPR": ${numberOr(answer('LPR'), 'LPR')},`, `${toFill(answer('LPR') === undefined)}stick-out, from the tip to the holder's face`),
    `      // ${toFill(answer('holder') === undefined)}from the face upward to the gauge line, one entry for each step; "topDiameter" where it is a cone`,
    `      "holder": [${holderText(answer('holder'))}],`,
    ...pointLines(answer),
    ...radius === undefined ? [] : [`${`      "radiusOffset": ${radius},`.padEnd(37)}// the program gives D ${radius} with this tool`],
    length === undefined
      ? `${`      "lengthOffset": ${tool.number}`.padEnd(37)}// the program gives no H with this tool: its own number`
      : `${`      "lengthOffset": ${length}`.padEnd(37)}// the program gives H ${length} with this tool`,
    `      // "maxSpeed": rev/min and "maxFeed": ${unit}/min may follow, where the tool has such limits`,
  ]
}

/** A line of a tool's entry with its comment. */
function line(words: string, comment: string): string {
  return `      ${words.padEnd(30)} // ${comment}`
}

type AnswerOf = (name: string) => string | undefined

function cutterLines(answer: AnswerOf): string[] {
  const shape = answer('shape'), sizes = sizesOf[shape ?? ''] ?? ['DC', 'LCF'], isOpen = shape === undefined || sizes.some(size => answer(size) === undefined)
  return [
    isOpen ? '      // FILL IN: "flat", "ball", "bull" (with RE), "taper" (RE, BHTA), "drill" (SIG) or another; diameter; length of the cutting part' : '      // The cutter; what lies above LCF may not touch what it has not cut.',
    `      "cutter": { "shape": ${textOr(shape)}, ${sizes.map(size => `"${size}": ${numberOr(answer(size), size)}`).join(', ')} },`,
  ]
}

function holderText(answer: string | undefined): string {
  const steps = stepsIn(answer ?? '')
  return steps === undefined ? '{ "diameter": null, "length": null }' : steps.map(([diameter, length]) => `{ "diameter": ${diameter}, "length": ${length} }`).join(', ')
}

function pointLines(answer: AnswerOf): string[] {
  // Where there is no corner radius there is nothing else to position.
  const isSharp = ['flat', 'drill'].includes(answer('shape') ?? ''), point = isSharp ? 'tip' : answer('point')
  return [line(`"point": ${textOr(point)},`, `${toFill(point === undefined)}what the program positions, "tip" or "centre" of the corner radius`)]
}

function sectionWords({ firstLine, lastLine, firstNumber, lastNumber }: ToolSection): string {
  const lines = firstLine === lastLine ? `line ${firstLine}` : `lines ${firstLine} to ${lastLine}`
  if (firstNumber === undefined || lastNumber === undefined) return lines
  return `${lines} (N${firstNumber}${lastNumber === firstNumber ? '' : ` to N${lastNumber}`})`
}

function range({ low, high }: Extent): string {
  return low === high ? String(low) : `${low} to ${high}`
}

/** No more digits than a program has. */
function number(value: number, unit: 'mm' | 'inch'): string {
  return String(Number(unit === 'mm' ? lengthNumber(value, 1) : lengthNumber(value * 25.4, 25.4)))
}

/** Fits into a comment that ends with its line. */
function oneLine(words: string): string {
  const plain = words.replace(/[\p{Cc}\p{Zl}\p{Zp}\s]+/gu, ' ').trim()
  return plain.length > 120 ? `${plain.slice(0, 119)}…` : plain
}
