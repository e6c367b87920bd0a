import { lengthNumber } from './number-text.ts'
import type { Extent, ProgramSurvey, ToolSection, ToolUse } from './program-survey.ts'

/** What the draft says about files: names as the sheet is to write them. */
export interface DraftNames {
  /** The program, relative to the sheet's folder, with forward slashes. */
  readonly program: string
}

/**
 * A setup sheet started from what a program shows: JSON with comments. What only people know stands
 * as `null` with FILL IN beside it; the reader of the sheet reports each null until it is a value.
 */
export function setupDraft(survey: ProgramSurvey, { program }: DraftNames): string {
  const unit = survey.unit ?? 'mm'
  const lines = [
    '{',
    `  // Setup sheet for ${oneLine(program)}, started from the program. What only people know stands as null, marked FILL IN:`,
    '  // every null is reported until a value stands there, and what hangs on it is not checked. Measure at the machine.',
    field('units', unit, survey.unit === undefined ? 'the unit of the lengths in this sheet; the program does not state one unit for all its motion' : 'the program is in this unit; lengths of this sheet are too'),
    field('programs', [program], 'the programs this sheet is for; * stands for any characters'),
    field('machine', null, 'FILL IN: your machine file, such as "mill.machine.json" (left out: a built-in table-table machine)'),
    field('baseOffset', survey.offsets[0] ?? 'G54', baseWords(survey)),
    '',
    '  // FILL IN: where program zero lies, in machine coordinates, as read off the machine (rotary axes in degrees).',
    '  "offsets": {',
    ...offsetLines(survey),
    '  },',
    '',
    ...extentLines(survey, unit),
    '  "part": {',
    '    "mesh": null,                    // FILL IN: the finished part, such as "part.stl" (STL, PLY, OBJ, 3MF or glTF)',
    '    "units": null,                   // FILL IN: "mm" or "inch", the unit of that file (3MF and glTF have their own: take this line out)',
    '    "rotate": [0, 0, 0],             // how the mesh lies from program zero: turned about X, then Y, then Z, in degrees,',
    '    "translate": [0, 0, 0]           // then moved. Right as it stands only where the mesh has its zero at program zero',
    '  },',
    '  // The blank may follow: "stock": { "box": { "min": [X, Y, Z], "max": [X, Y, Z] } }, or a cylinder, a mesh, an offset from the part.',
    '',
    '  // What is allowed. These are what holds where they are left out; whether they are right for this part is for you to say.',
    ...limitLines(unit),
    '',
    ...passLines(survey),
    '',
    ...toolLines(survey, unit),
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

function offsetLines({ offsets, rotary }: ProgramSurvey): string[] {
  const names = offsets.length === 0 ? ['G54'] : offsets
  return names.map((name, i) => `    ${offsetLine(name, ['X', 'Y', 'Z', ...rotary])}${i < names.length - 1 ? ',' : ''}`)
}

/** A work offset of which nothing is known yet. */
export function offsetLine(name: string, letters: readonly string[]): string {
  return `"${name}": { ${letters.map(letter => `"${letter}": null`).join(', ')} }`
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

function limitLines(unit: 'mm' | 'inch'): string[] {
  const scale = unit === 'mm' ? 1 : 25.4
  const value = (mm: number) => number(mm / scale, unit)
  return [
    '  "limits": {',
    `    "gouge": ${value(0.01)},                   // deepest cut allowed below the part's surface`,
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

function toolLines(survey: ProgramSurvey, unit: 'mm' | 'inch'): string[] {
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
    ...tools.flatMap((tool, i) => [...toolLinesOf(tool, unit), i < tools.length - 1 ? '    },' : '    }']),
    '  ]',
  ]
}

/** A tool as far as the program shows it, without its closing brace. */
export function toolLinesOf(tool: ToolUse, unit: 'mm' | 'inch'): string[] {
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
    '      // FILL IN: "flat", "ball", "bull" (with RE), "taper" (RE, BHTA), "drill" (SIG) or another; diameter; length of the cutting part',
    '      "cutter": { "shape": null, "DC": null, "LCF": null },',
    '      // A relieved neck, where there is one: "neck": { "DN": diameter, "LU": its end above the tip },',
    '      "shank": { "DCONMS": null },   // FILL IN: diameter of the shank',
    '      "LPR": null,                   // FILL IN: stick-out, from the tip to the holder\'s face',
    '      // FILL IN: from the face upward to the gauge line, one entry for each step; "topDiameter" where it is a cone',
    '      "holder": [{ "diameter": null, "length": null }],',
    '      "point": null,                 // FILL IN: what the program positions, "tip" or "centre" of the corner radius',
    ...radius === undefined ? [] : [`${`      "radiusOffset": ${radius},`.padEnd(37)}// the program gives D ${radius} with this tool`],
    length === undefined
      ? `${`      "lengthOffset": ${tool.number}`.padEnd(37)}// the program gives no H with this tool: its own number`
      : `${`      "lengthOffset": ${length}`.padEnd(37)}// the program gives H ${length} with this tool`,
    `      // "maxSpeed": rev/min and "maxFeed": ${unit}/min may follow, where the tool has such limits`,
  ]
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
