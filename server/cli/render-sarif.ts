import type { ContactProperties, Edit, Finding, Point, ResultProperties } from '../../shared/finding.ts'
import { byPlace } from '../engine/service.ts'
import type { AbsentFinding, CheckedProgram, CheckReport, RuleWords } from './check-report.ts'
import { linesOfFinding } from './check-report.ts'
import { fingerprints } from './fingerprint.ts'
import type { Artifact } from './sarif-artifacts.ts'
import { SarifArtifacts } from './sarif-artifacts.ts'
import { runProperties } from './sarif-run-properties.ts'
import { regionOf } from './text-lines.ts'

// Findings for other programs: SARIF 2.1.0 (OASIS Standard). Clause numbers are its own. Nothing in
// the file depends on the time, the machine it ran on or the number of threads.

/** The standard's own address of its schema. */
const SCHEMA = 'https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json'

export function renderSarif(report: CheckReport): string {
  const artifacts = new SarifArtifacts(report.shownPath)
  for (const program of report.programs) {
    artifacts.program(program)
    for (const input of program.inputs) artifacts.input(input)
  }
  const results = report.programs.flatMap(program => resultsOf(report, program, artifacts))
  const run = {
    tool: { driver: driver(report) },
    invocations: [invocation(report, artifacts)],
    artifacts: artifacts.list(),
    results,
    // A lone carriage return ends a line of a program too (3.14.25).
    newlineSequences: ['\r\n', '\n', '\r'],
    columnKind: 'utf16CodeUnits',
    properties: { toolwake: { ...runProperties(report), ...report.comparison === undefined ? {} : { comparison: report.comparison }, ...report.mend === undefined ? {} : { mend: report.mend } } },
  }
  return JSON.stringify({ $schema: SCHEMA, version: '2.1.0', runs: [run] }, finiteOnly, 2) + '\n'
}

function driver(report: CheckReport): object {
  return { name: 'Toolwake', version: report.version, semanticVersion: report.version, rules: report.rules.map(ruleDescriptor) }
}

function ruleDescriptor(rule: RuleWords): object {
  return {
    id: rule.id,
    shortDescription: { text: rule.what },
    fullDescription: { text: `${rule.what} ${rule.why}` },
    help: { text: `${rule.what} ${rule.why} ${rule.instead}`, markdown: rule.page },
    defaultConfiguration: { level: rule.level },
    properties: { tags: [rule.group] },
  }
}

/** What kept a program from being checked, and what the call left out, so that no empty list reads as clean. */
function invocation(report: CheckReport, artifacts: SarifArtifacts): object {
  const unchecked = report.programs.filter(program => program.result === undefined)
  const leftOut = report.programs.filter(program => program.leftOut.size > 0), selection = report.selection ?? []
  return {
    executionSuccessful: unchecked.length === 0,
    exitCode: report.exitCode,
    ...(unchecked.length === 0 ? {} : {
      toolExecutionNotifications: unchecked.map(program => ({
        level: 'error',
        message: { text: `${program.name} was not checked: ${program.findings[0]?.message ?? 'it could not be read.'}` },
        locations: [{ physicalLocation: { artifactLocation: artifacts.locationOf(program.path) } }],
      })),
    }),
    ...(leftOut.length + selection.length === 0 ? {} : {
      toolConfigurationNotifications: [
        ...selection.map(sentence => ({ level: 'note', message: { text: sentence } })),
        ...leftOut.map(program => ({
          level: 'note',
          message: { text: `Left out by the call: ${[...program.leftOut].map(([rule, findings]) => `${findings} × ${rule}`).join(', ')}.` },
          locations: [{ physicalLocation: { artifactLocation: artifacts.locationOf(program.path) } }],
        })),
      ],
    }),
  }
}

function resultsOf(report: CheckReport, program: CheckedProgram, artifacts: SarifArtifacts): object[] {
  const marks = fingerprints(report, program)
  const ruleIndex = new Map(report.rules.map((rule, index) => [rule.id, index]))
  const found = [...program.findings].sort(byPlace).map(finding => {
    const index = ruleIndex.get(finding.rule)
    const baselineState = program.baseline?.stateOf.get(finding)
    return {
      ruleId: finding.rule,
      ...(index === undefined ? {} : { ruleIndex: index }),
      // Where the place is in another file, the program that was looked at is named (3.27.13).
      ...(finding.file === undefined || finding.file === program.path ? {} : { analysisTarget: artifacts.locationOf(program.path) }),
      // A result that is not a plain failure must have the level "none" (3.27.10).
      ...(finding.open === true ? { kind: 'open', level: 'none' } : { kind: 'fail', level: finding.level }),
      message: { text: finding.message },
      locations: [location(report, program, artifacts, finding)],
      ...(finding.related === undefined || finding.related.length === 0 ? {} : {
        relatedLocations: finding.related.map((related, id) => ({
          id,
          ...location(report, program, artifacts, related),
          message: { text: related.message },
        })),
      }),
      partialFingerprints: { 'block/v1': marks.get(finding) },
      ...(baselineState === undefined ? {} : { baselineState }),
      ...(finding.waiver === undefined ? {} : {
        suppressions: [{
          kind: 'inSource',
          status: 'accepted',
          justification: finding.waiver.reason,
          location: location(report, program, artifacts, { span: finding.waiver.span }),
        }],
      }),
      ...fixesOf(program, artifacts, finding),
      ...propertiesOf(finding, program.baseline?.worse.has(finding) ?? false),
    }
  })
  return [...found, ...(program.baseline?.absent ?? []).map(absent => absentResult(absent, ruleIndex.get(absent.rule), program, artifacts))]
}

/** A finding of the baseline that is gone (3.27.24). */
function absentResult({ rule, level, open, message, fingerprint, uri, region }: AbsentFinding, index: number | undefined, program: CheckedProgram, artifacts: SarifArtifacts): object {
  const target = artifacts.locationOf(program.path)
  return {
    ruleId: rule,
    ...(index === undefined ? {} : { ruleIndex: index }),
    ...(uri === target.uri ? {} : { analysisTarget: target }),
    ...(open ? { kind: 'open', level: 'none' } : { kind: 'fail', level }),
    message: { text: message },
    locations: [{ physicalLocation: { artifactLocation: artifacts.locationOfUri(uri), ...(region === undefined ? {} : { region }) } }],
    partialFingerprints: { 'block/v1': fingerprint },
    baselineState: 'absent',
    ...(open ? { properties: { undecidedLevel: level } } : {}),
  }
}

/** What mends the finding (3.27.30, 3.55): the sure fix of its rule, or the mend of its place that was proven to leave nothing of it. */
function fixesOf(program: CheckedProgram, artifacts: SarifArtifacts, finding: Finding): { readonly fixes?: readonly object[] } {
  const { rule, file, span, contact } = finding, fix = program.fixes?.get(finding)
  if (fix !== undefined) return { fixes: [{ ...fixObject(program, artifacts, fix.title, fix.edits), properties: { keepsMotion: fix.keepsMotion } }] }
  const line = regionOf(program.lines, span).startLine - 1
  const [first, last] = contact === undefined ? [line, line] : [contact.firstLine - 1, contact.lastLine - 1]
  const place = file !== undefined ? undefined : program.result?.mend?.mended.find(each => each.remaining === 0 && each.rules.includes(rule) && each.firstLine <= last && each.lastLine >= first)
  if (place === undefined) return {}
  const proof = program.result?.mend?.proof
  const reach = proof === undefined ? {} : { properties: { checkedAgain: proof.checked, notCheckedAgain: proof.unchecked, leftStanding: proof.left } }
  return { fixes: [{ ...fixObject(program, artifacts, place.corrections.join('; '), place.edits), ...reach }] }
}

function fixObject(program: CheckedProgram, artifacts: SarifArtifacts, text: string, edits: readonly Edit[]): object {
  const replacements = edits.map(edit => ({ deletedRegion: regionOf(program.lines, edit.span), insertedContent: { text: edit.text } }))
  return { description: { text }, artifactChanges: [{ artifactLocation: artifacts.locationOf(program.path), replacements }] }
}

function location(report: CheckReport, program: CheckedProgram, artifacts: SarifArtifacts, at: Pick<Finding, 'file' | 'span'>): object {
  const lines = linesOfFinding(report, program, at)
  const artifactLocation: Artifact = artifacts.locationOf(at.file ?? program.path)
  return {
    physicalLocation: {
      artifactLocation,
      ...(lines === undefined || lines.text.length === 0 ? {} : { region: regionOf(lines, at.span) }),
    },
  }
}

function propertiesOf(finding: Finding, isGraver: boolean): object {
  const contact = finding.contact === undefined ? {} : contactProperties(finding.contact)
  // The level it would have if the bounds confirmed it; `--fail-on` counts it so.
  const open = finding.open === true ? { undecidedLevel: finding.level } : {}
  const left = finding.result === undefined ? {} : resultProperties(finding.result)
  const properties = { ...contact, ...left, ...open, ...isGraver ? { graver: true } : {} }
  return Object.keys(properties).length === 0 ? {} : { properties }
}

function contactProperties(contact: ContactProperties): object {
  return {
    component: contact.component,
    against: contact.against,
    ...(contact.depth === undefined ? {} : { depth: contact.depth }),
    ...(contact.clearance === undefined ? {} : { clearance: contact.clearance }),
    bound: contact.bound,
    allowed: contact.allowed,
    point: nanometres(contact.point),
    toolPoint: nanometres(contact.toolPoint),
    toolAxis: nanometres(contact.toolAxis),
    firstLine: contact.firstLine,
    lastLine: contact.lastLine,
    worstLine: contact.worstLine,
    blocks: contact.blocks,
  }
}

function resultProperties({ point, height, area, bound, allowed }: ResultProperties): object {
  return {
    component: 'cutter',
    against: 'part',
    point: nanometres(point),
    ...height === undefined ? {} : { height },
    area,
    ...bound === undefined ? {} : { bound },
    allowed,
  }
}

/** A place is for finding it again: six decimals are finer than any mesh. Figures held against limits are not rounded. */
function nanometres(point: Point): number[] {
  return point.map(value => Math.round(value * 1e6) / 1e6)
}

/** JSON has no infinity: a figure that is not a number is left out rather than written as null. */
function finiteOnly(_key: string, value: unknown): unknown {
  return typeof value === 'number' && !Number.isFinite(value) ? undefined : value
}
