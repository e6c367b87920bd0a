import { levels } from '../../shared/finding.ts'
import type { CheckedProgram, CheckReport } from './check-report.ts'
import { countsAgainst } from './check-report.ts'
import { count } from './closing-words.ts'

/** Programs that are named in the summary; further ones are counted. */
const MOST_NAMED = 100

/** Many programs at a glance, those with the gravest findings first. Nothing for a single one. */
export function summaryLines(report: CheckReport): string[] {
  const { programs } = report
  const lines = [...report.selection ?? []]
  if (programs.length === 0) return [...lines, 'No program was checked.']
  if (programs.length < 2) return lines
  const told = programs.map(program => ({ program, tally: tallyOf(program) })).filter(({ tally }) => tally.grade > 0)
    .sort((a, b) => b.tally.grade - a.tally.grade || b.tally.most - a.tally.most || (a.program.name < b.program.name ? -1 : 1))
  lines.push(`Summary of ${programs.length} programs:`)
  for (const { program, tally } of told.slice(0, MOST_NAMED)) lines.push(`  ${program.name}: ${tally.words}`)
  if (told.length > MOST_NAMED) lines.push(`  and ${told.length - MOST_NAMED} more with findings`)
  const quiet = programs.length - told.length
  if (quiet > 0) lines.push(`  ${count(quiet, 'program')}${told.length === 0 ? '' : ' more'}: ${nothingFound(programs)}`)
  return lines
}

function nothingFound(programs: readonly CheckedProgram[]): string {
  if (programs.some(({ leftOut }) => leftOut.size > 0)) return 'nothing found of what was asked for'
  return programs.some(({ baseline }) => baseline !== undefined) ? 'nothing new found in what was checked' : 'nothing found in what was checked'
}

interface Tally {
  /** 0: nothing that counts; then by the gravest level; above all what could not be checked. */
  readonly grade: number
  readonly most: number
  readonly words: string
}

function tallyOf(program: CheckedProgram): Tally {
  if (program.result === undefined) return { grade: levels.length + 1, most: 0, words: 'NOT CHECKED' }
  const counting = program.findings.filter(finding => countsAgainst(program, finding))
  const numbers = levels.map(level => counting.filter(finding => finding.level === level).length)
  const grade = numbers.findLastIndex(number => number > 0) + 1
  const words = levels.flatMap((level, n) => (numbers[n] ?? 0) > 0 ? [count(numbers[n] ?? 0, level)] : []).reverse()
  return { grade, most: numbers[grade - 1] ?? 0, words: `${words.join(', ')}${program.baseline === undefined ? '' : ' new'}` }
}
