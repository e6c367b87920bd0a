import { components } from '../../shared/finding.ts'
import type { SurfaceResult } from '../engine/service.ts'
import type { CheckedProgram, CheckReport, InputFile } from './check-report.ts'
import { uriOf } from './sarif-artifacts.ts'

/**
 * `run.properties.toolwake`: what was run through, the certified worst figures of each tool and the
 * hashes of everything that went in. With one program the figures stand at the top; with several,
 * the top holds the sums and `programs` the figures of each.
 */
export function runProperties(report: CheckReport): object {
  const each = report.programs.map(program => programProperties(report, program))
  if (each.length === 1) return each[0] ?? {}
  const total = (of: 'blocks' | 'motions' | 'seconds') =>
    report.programs.reduce((sum, program) => sum + (program.result?.[of] ?? 0), 0)
  return { blocks: total('blocks'), motions: total('motions'), seconds: total('seconds'), programs: each }
}

function programProperties(report: CheckReport, program: CheckedProgram): object {
  const { result } = program
  return {
    program: program.path === '-' ? 'stdin' : uriOf(report.shownPath(program.path)),
    checked: result !== undefined,
    ...(result === undefined ? {} : {
      blocks: result.blocks,
      motions: result.motions,
      seconds: result.seconds,
      tools: result.tools.map(tool => ({
        number: tool.number,
        ...Object.fromEntries(components.flatMap(component => {
          const figure = tool.worst[component]
          // Farther than the search looks has no figure: it is left out rather than made up.
          return figure === undefined || !Number.isFinite(figure.value) ? [] : [[component, figure]]
        })),
      })),
      axes: result.axes,
      ...result.stock === undefined ? {} : { stock: result.stock },
      ...result.surface === undefined ? {} : { leftover: leftoverOf(result.surface), overcut: overcutOf(result.surface) },
    }),
    hashes: hashes(report, program.inputs),
  }
}

/**
 * `max`: tallest material where a pass comes near, mm; `area`: surface over which more stands than may, mm²; beside
 * them how much of the surface any pass comes near and how much of that is within the limit, and how fine the points lie at which it was measured.
 */
function leftoverOf({ leftover, leftoverArea, area, reached, finished, spacing, samples, passes }: SurfaceResult): object {
  return {
    max: leftover?.value ?? 0,
    area: leftoverArea,
    ...leftover === undefined ? {} : { bound: leftover.bound, point: leftover.point },
    reachedArea: reached,
    finishedArea: finished,
    partArea: area,
    spacing,
    points: samples,
    passes: passes.map(({ reached: reachedArea, leftover: max, overcut }) => ({ reachedArea, max, overcut })),
  }
}

/** Deepest cut below the surface at the same points, mm; `atLeast`: a cutter of several pieces may have cut deeper. */
function overcutOf({ overcut, isOvercutLeast }: SurfaceResult): object {
  const least = isOvercutLeast ? { atLeast: true } : {}
  return overcut === undefined ? { max: 0, ...least } : { max: overcut.value, bound: overcut.bound, point: overcut.point, ...least }
}

/** SHA-256 by role; meshes, called programs and what earlier set-ups were run from by the path the reader knows them under. */
function hashes(report: CheckReport, inputs: readonly InputFile[]): object {
  const of = (role: InputFile['role']) => inputs.find(input => input.role === role)?.sha256
  const byPath = (role: InputFile['role']) => Object.fromEntries(
    inputs.filter(input => input.role === role).map(input => [uriOf(report.shownPath(input.path)), input.sha256]))
  const has = (role: InputFile['role']) => inputs.some(input => input.role === role)
  return {
    program: of('program'),
    ...has('called') ? { called: byPath('called') } : {},
    setup: of('setup'),
    machine: of('machine'),
    meshes: byPath('mesh'),
    ...has('earlier') ? { earlier: byPath('earlier') } : {},
  }
}
