import { readFileSync, writeFileSync } from 'node:fs'
import { expect } from 'vitest'
import type { CheckedProgram, CheckReport, RuleWords } from '../../server/cli/check-report.ts'
import { linesOf } from '../../server/cli/text-lines.ts'
import type { Sink, Terminal } from '../../server/cli/terminal.ts'
import type { CheckResult } from '../../server/engine/service.ts'
import type { ContactProperties, Finding } from '../../shared/finding.ts'
import { buildKinematics } from '../../shared/kinematics.ts'
import type { Machine } from '../../shared/machine.ts'
import type { Span } from '../../shared/span.ts'
import { ToolpathBuilder } from '../../shared/toolpath.ts'

// Results of a check written by hand, so that what is printed can be tested without a search.

export const rules: readonly RuleWords[] = [
  rule('gouge', 'error', 'contact'),
  rule('holder-clearance', 'warning', 'contact'),
  rule('missing-feed', 'error', 'state'),
  rule('not-checked', 'warning', 'inputs'),
  rule('setup-error', 'error', 'inputs'),
  rule('short-block', 'note', 'motion'),
]

function rule(id: string, level: RuleWords['level'], group: RuleWords['group']): RuleWords {
  return {
    id, level, group,
    what: `Finds ${id}.`, why: `Because of ${id}.`, instead: `Do without ${id}.`,
    page: `# ${id}\n\nFinds ${id}.\n`,
  }
}

/** The span of the nth piece of text (from 1) that reads so. */
export function spanOf(text: string, piece: string, nth = 1): Span {
  let start = -1
  for (let i = 0; i < nth; i++) start = text.indexOf(piece, start + 1)
  if (start < 0) throw new Error(`"${piece}" stands fewer than ${nth} times in the text`)
  return { start, end: start + piece.length }
}

export function contact(figures: Partial<ContactProperties>): ContactProperties {
  return {
    component: 'cutter', against: 'part', bound: 0.002, allowed: 0.01,
    point: [1, 2, 3], toolPoint: [1, 2, 3.03], toolAxis: [0, 0, 1],
    firstLine: 1, lastLine: 1, worstLine: 1, blocks: 1,
    ...figures,
  }
}

export function checkResult(text: string, findings: readonly Finding[], more: Partial<CheckResult> = {}): CheckResult {
  const lineStarts = Uint32Array.from([...linesOf(text).starts, text.length])
  return {
    program: {
      path: '/job/program.nc', text, lineStarts, findings, blockCount: lineStarts.length - 1,
      toolpath: new ToolpathBuilder(['X', 'Y', 'Z'], [0, 0, 0]).finish(), kinematics: buildKinematics(threeAxis, [0, 0, 0]),
      dwellSeconds: 0, dwells: [], passLines: [], waivers: [], waiverMentions: new Uint32Array(), complete: true,
    },
    findings,
    blocks: lineStarts.length - 1,
    motions: 3,
    motionChecked: true,
    seconds: 75.4,
    tools: [],
    axes: [{ letter: 'X', min: -10, max: 20, topRate: 3000 }],
    ...more,
  }
}

const threeAxis: Machine = {
  name: 'three linear axes',
  axes: (['X', 'Y', 'Z'] as const).map((letter, i) => ({
    letter, kind: 'linear', direction: [Number(i === 0), Number(i === 1), Number(i === 2)], through: [0, 0, 0],
  })),
  table: [],
  head: [0, 1, 2],
  spindle: { gauge: [0, 0, 0], axis: [0, 0, 1] },
  control: {
    inch: ['G20'], metric: ['G21'], toolCentreOn: [], toolVectorOn: [], toolCentreOff: [], tiltedPlaneOn: [], orientTool: [],
    tiltedPlaneOff: [], inverseTime: 'per-minute', dwell: {}, wholeNumber: { as: 'units' }, arcCentre: 'incremental',
    rotaryTravel: {}, rapid: 'straight', neutral: [], define: {},
  },
}

export function program(text: string, findings: readonly Finding[], more: Partial<CheckedProgram> = {}): CheckedProgram {
  return {
    name: 'program.nc', path: '/job/program.nc', lines: linesOf(text), result: checkResult(text, findings), findings,
    leftOut: new Map(), inputs: [{ role: 'program', path: '/job/program.nc', sha256: 'ab'.repeat(32), length: text.length }],
    ...more,
  }
}

export function report(programs: readonly CheckedProgram[], more: Partial<CheckReport> = {}): CheckReport {
  return {
    version: '1.2.3', programs, rules, textOf: () => undefined, shownPath: path => path.replace(/^\/job\//, ''),
    failOn: 'error', only: [], exitCode: 1,
    ...more,
  }
}

/** A terminal that keeps what is written to it. */
export function paperTerminal(options: { folder?: string, input?: string, isTerminal?: boolean } = {}): Terminal & { readonly written: { output: string, errors: string } } {
  const written = { output: '', errors: '' }
  const sink = (name: 'output' | 'errors'): Sink => ({
    isTerminal: options.isTerminal ?? false,
    write: text => {
      written[name] += text
      return Promise.resolve()
    },
  })
  return {
    folder: options.folder ?? '/job',
    output: sink('output'),
    errors: sink('errors'),
    readInput: () => Promise.resolve(new TextEncoder().encode(options.input ?? '')),
    environment: {},
    written,
  }
}

/** Compares with a file beside the tests; `UPDATE=1` writes it instead. */
export function expectFile(name: string, text: string): void {
  const path = new URL(`expected/${name}`, import.meta.url)
  if (process.env['UPDATE'] === '1') writeFileSync(path, text)
  expect(text).toBe(readFileSync(path, 'utf8'))
}
