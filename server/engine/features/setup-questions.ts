import type { AnswerForm, SetupQuestion } from '../../../shared/setup-questions.ts'
import type { ProgramSurvey, ToolUse } from './program-survey.ts'
import { guessTool } from './tool-guess.ts'

/** Files that lie where the sheet will lie, named as the sheet is to write them. */
export interface SheetFiles {
  readonly machines: readonly string[]
  readonly meshes: readonly string[]
}

/** The answer that names no machine file. */
export const builtIn = 'built-in'

/** Sizes of each shape that is asked for, in this order; the other shapes have outlines that are written into the sheet. */
export const sizesOf: Readonly<Record<string, readonly string[]>> = {
  flat: ['DC', 'LCF'], ball: ['DC', 'LCF'], bull: ['DC', 'RE', 'LCF'], taper: ['RE', 'BHTA', 'LCF'], drill: ['DC', 'SIG', 'LCF'], lollipop: ['DC', 'DN', 'LCF'],
}

/** Shapes with a corner radius, whose centre can be what a program positions. */
const rounded = '^(ball|bull|taper|lollipop)$'

/** What is asked of the person who starts a sheet, in the order in which it is best looked up. */
export function setupQuestions(survey: ProgramSurvey, { machines, meshes }: SheetFiles): SetupQuestion[] {
  const unit = survey.unit ?? 'mm', scale = unit === 'mm' ? 1 : 25.4
  const files = (names: readonly string[]) => names.map(name => ({ value: name, label: name }))
  const lone = (names: readonly string[]) => names.length === 1 && names[0] !== undefined ? { suggestion: names[0], because: 'the only one found here' } : {}
  return [
    {
      key: 'machine', title: 'The machine', prompt: 'Which machine file? The way from the sheet\'s folder to it.',
      form: { kind: 'choice', free: true, choices: [...files(machines), { value: builtIn, label: 'The built-in table-table machine, until you have a machine file' }] }, ...lone(machines),
    },
    ...(survey.offsets.length === 0 ? ['G54'] : survey.offsets).map((name): SetupQuestion => {
      const names = ['X', 'Y', 'Z', ...survey.rotary]
      return { key: `offset.${name}`, title: `Zero of ${name}`, prompt: `Where does the zero of ${name} lie in machine coordinates, as read off the machine (${unit}${survey.rotary.length === 0 ? '' : ', rotary axes in degrees'})? ${names.join(' ')}`, form: { kind: 'numbers', names } }
    }),
    { key: 'part.mesh', title: 'The finished part', prompt: 'Which mesh is the finished part? STL, PLY, OBJ, 3MF or glTF; the way from the sheet\'s folder to it.', form: { kind: 'choice', free: true, choices: files(meshes) }, ...lone(meshes) },
    {
      key: 'part.units', title: 'Unit of the mesh', prompt: 'In which unit is that file?', form: { kind: 'choice', choices: [{ value: 'mm', label: 'mm' }, { value: 'inch', label: 'inch' }] },
      suggestion: unit, because: 'the unit of the program', when: { key: 'part.mesh', matches: '\\.(stl|ply|obj)$' },
    },
    { key: 'limits.gouge', title: 'Deepest cut', prompt: `How deep may a cut go below the part's surface (${unit})?`, form: { kind: 'numbers', names: ['gouge'], from: 0 }, suggestion: figure(0.01 / scale), because: 'what holds where the sheet says nothing' },
    ...survey.tools.flatMap(tool => questionsOn(tool, unit)),
  ]
}

function questionsOn(tool: ToolUse, unit: 'mm' | 'inch'): SetupQuestion[] {
  const guess = guessTool(tool), key = (name: string) => `tool.${tool.number}.${name}`, title = `Tool ${tool.number}`
  const begin = (suggestion: string | undefined) => suggestion === undefined ? {} : { suggestion, because: `the program says (${guess.from ?? ''})` }
  const size = (name: string, prompt: string, form: Partial<AnswerForm>, suggestion: Partial<SetupQuestion> = {}): SetupQuestion => {
    const shapes = Object.entries(sizesOf).filter(([, sizes]) => sizes.includes(name)).map(([shape]) => shape)
    return { key: key(name), title, prompt: `${title}: ${prompt}`, form: { kind: 'numbers', names: [name], ...form } as AnswerForm, ...suggestion, when: { key: key('shape'), matches: `^(${shapes.join('|')})$` } }
  }
  return [
    {
      key: key('shape'), title, prompt: `${title}: which kind of cutter?`, ...begin(guess.shape),
      form: { kind: 'choice', choices: Object.keys(sizesOf).map(shape => ({ value: shape, label: shapeWords[shape] ?? shape })) },
    },
    size('DC', `cutting diameter DC (${unit})?`, { above: 0 }, begin(guess.DC)),
    size('RE', `corner radius RE, on a taper the radius of its tip (${unit})?`, { from: 0 }, begin(guess.RE)),
    size('BHTA', 'half angle BHTA of the taper (degrees)?', { above: 0, below: 90 }),
    size('SIG', 'point angle SIG (degrees)?', { above: 0, below: 180 }, { suggestion: '118', because: 'the usual one' }),
    size('DN', `diameter DN of the neck behind the ball (${unit})?`, { above: 0 }),
    size('LCF', `length LCF of the cutting part, from the tip (${unit})?`, { above: 0 }),
    { key: key('DCONMS'), title, prompt: `${title}: diameter DCONMS of the shank (${unit})?`, form: { kind: 'numbers', names: ['DCONMS'], above: 0 }, suggestedBy: key('DC') },
    { key: key('LPR'), title, prompt: `${title}: stick-out LPR, from the tip to the holder's face (${unit})?`, form: { kind: 'numbers', names: ['LPR'], above: 0 }, ...begin(guess.LPR) },
    { key: key('holder'), title, prompt: `${title}: the holder from its face upward, "diameter length" for each step, ";" between steps (${unit})?`, form: { kind: 'steps' } },
    {
      key: key('point'), title, prompt: `${title}: what does the program position?`, suggestion: 'tip', when: { key: key('shape'), matches: rounded },
      form: { kind: 'choice', choices: [{ value: 'tip', label: 'The tip' }, { value: 'centre', label: 'The centre of the corner radius' }] },
    },
  ]
}

const shapeWords: Readonly<Record<string, string>> = {
  flat: 'Flat end', ball: 'Ball end', bull: 'Flat end with a corner radius', taper: 'Taper with a rounded tip', drill: 'Drill', lollipop: 'Lollipop: more than half a ball on a thinner neck',
}

function figure(value: number): string {
  return String(Number(value.toPrecision(2)))
}
