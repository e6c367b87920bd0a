import { boundText } from '../../shared/bound-text.ts'
import { components } from '../../shared/finding.ts'
import { cautions, notLookedAt, type PlacedFigure } from '../engine/service.ts'
import type { CheckedProgram, CheckFigures, CheckReport } from './check-report.ts'

// The end of the text output. It says what was looked at, with which bound, and what was not: no
// findings must never read as "safe". The cautions are those of common practice at the machine.

export function closingWords(report: CheckReport): string[] {
  const lines: string[] = []
  for (const program of report.programs) lines.push(...checked(report, program), ...leftOut(report, program))
  const results = report.programs.flatMap(({ result }) => result ?? [])
  if (results.length > 0) {
    lines.push(...notLookedAt({
      isStockFollowed: results.every(({ stock }) => stock !== undefined), isResultMeasured: results.every(({ surface }) => surface !== undefined),
    }))
  }
  lines.push(...cautions)
  return lines
}

function checked(report: CheckReport, program: CheckedProgram): string[] {
  const { result, name } = program
  if (result === undefined) return [`Not checked: ${name}.`]
  const path = `${count(result.blocks, 'block')}, ${count(result.motions, 'motion')}, estimated time ${duration(result.seconds)}`
  const lines = [`Checked: ${name}: ${path}.`, ...stockWords(result)]
  if (result.tools.length === 0) {
    lines.push(`  The tools were not compared with a part: ${result.motionChecked ? 'text, state and motion only' : 'text and state only'}.`)
    return lines
  }
  lines.push(report.blocks === undefined
    ? '  Each motion from end to end against every facet of the part\'s mesh. Worst figures, with proven bounds:'
    : `  Contact was searched in blocks ${report.blocks} alone, each motion from end to end against every facet of the part's mesh. Worst figures there:`)
  for (const tool of result.tools) {
    const figures = components.flatMap(component => {
      const figure = tool.worst[component]
      return figure === undefined || !Number.isFinite(figure.value) ? [] : [`${component} ${figureWords(figure.value)} ± ${boundText(figure.bound)} (line ${figure.line})`]
    })
    lines.push(`  tool ${tool.number}: ${figures.length === 0 ? 'farther from the part than the search looks' : figures.join(', ')}`)
  }
  lines.push(...surfaceWords(result, report.blocks !== undefined))
  return lines
}

/** How well the stock was followed, and what came of it. */
function stockWords({ stock }: CheckFigures): string[] {
  if (stock === undefined) return []
  const { pitch, bound, initial, removed, cutInAir } = stock
  const cm3 = (mm3: number) => `${(mm3 / 1000).toFixed(3)} cm³`
  return [
    `  The stock as it is cut, in the order of the blocks: rapids, neck, shank and holder against rays ${Number(pitch.toPrecision(3))} mm apart.`,
    `  Material between them may reach ${length(bound)} mm farther. ${cm3(removed)} of ${cm3(initial)} are cut away; ${Math.round(cutInAir * 100)} % of the feed time is in air.`,
  ]
}

/** What is left of the part and what was taken of it, measured at points of the mesh. */
function surfaceWords({ surface, surfaceLost = false }: CheckFigures, inPart: boolean): string[] {
  if (surfaceLost) return ['  What is left on the part was not measured to the end; a finding says why.']
  if (surface === undefined) return [`  What is left on the part was not measured: ${inPart ? 'part of a program says nothing about it' : 'the sheet states neither limits.leftover nor a stock'}.`]
  const { leftover, overcut, isOvercutLeast, area, reached, finished, spacing, samples } = surface
  const share = area > 0 ? reached / area * 100 : 0
  return [
    `  Left on the part: passes come near ${share.toFixed(1)} % of its ${areaWords(area)}; on ${areaWords(finished)} of that no more stands than the sheet's limit.`,
    `  Tallest material there ${placedWords(leftover, 'none')}, deepest cut ${placedWords(overcut, 'none below the surface')}. Measured along the normal`,
    `  at ${count(samples, 'point')}; no point of the mesh lies farther than ${length(spacing)} mm from one of them.`,
    ...isOvercutLeast ? [`  ${leastWords}`] : [],
  ]
}

/** What is said beside the deepest cut where `isOvercutLeast`. */
export const leastWords = 'A cutter here is made of several convex pieces: where one lies wholly below the surface, the cut is deeper than this says.'

/** A figure of the result with the place where it was measured. */
export function placedWords(figure: PlacedFigure | undefined, none: string): string {
  return figure === undefined ? none : `${length(figure.value)} mm ± ${boundText(figure.bound)} at (${figure.point.map(value => value.toFixed(2)).join(' ')})`
}

function leftOut(report: CheckReport, program: CheckedProgram): string[] {
  if (program.leftOut.size === 0) return []
  const rules = [...program.leftOut].sort(([a], [b]) => (a < b ? -1 : 1)).map(([rule, findings]) => `${findings} × ${rule}`)
  const options = [report.only.length > 0 ? '--only' : '', report.blocks === undefined ? '' : `--blocks ${report.blocks}`]
  return [`  Left out by ${options.filter(option => option !== '').join(' and ')}: ${rules.join(', ')}.`]
}

/** The smallest signed distance of a component in words: negative is inside the part. */
export function figureWords(value: number): string {
  return value > 0 ? `${length(value)} mm clear` : `${length(-value)} mm into the part`
}

export function length(millimetres: number): string {
  return millimetres.toFixed(3)
}

/** Surface with as many digits as mean something. */
export function areaWords(area: number): string {
  return area >= 100 ? `${Math.round(area).toLocaleString('en-US')} mm²` : `${Number(area.toPrecision(2))} mm²`
}

export function count(number: number, noun: string): string {
  return `${number.toLocaleString('en-US')} ${noun}${number === 1 ? '' : 's'}`
}

export function duration(seconds: number): string {
  if (!Number.isFinite(seconds)) return 'an unknown time'
  const whole = Math.round(seconds)
  if (whole < 60) return `${whole} s`
  if (whole < 3600) return `${Math.floor(whole / 60)} min ${whole % 60} s`
  return `${Math.floor(whole / 3600)} h ${Math.floor(whole % 3600 / 60)} min`
}
