import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { neverCancelled } from '../../shared/cancellation.ts'
import type { Finding } from '../../shared/finding.ts'
import {
  contactFindings, defaultEpsilon, motionsPerRun, MotionSearcher, newContactFigures, openMesh, openScene, placeFigures, readProgram, searchInputOf, underWaivers,
} from '../../server/engine/service.ts'
import { findingsOfSurface } from '../harness/measure-surface.ts'

/** A sample's files as the edge would read them. */
export interface SampleFiles { readonly program: string, readonly sheet: string, readonly machine: string, readonly mesh: Uint8Array }

const samples = join(import.meta.dirname, '..', '..', 'samples')

/** All findings on a sample, its whole contact search in this thread; paths are relative to the samples. */
export function checkSample({ program, sheet, machine, mesh: bytes }: SampleFiles): Finding[] {
  const text = (path: string) => ({ path: join(samples, path), text: readFileSync(join(samples, path), 'utf8') })
  const scene = openScene(text(sheet), text(machine))
  const read = readProgram(text(program), scene)
  const { mesh, findings } = openMesh({ path: 'sample.stl', bytes }, scene)
  const input = searchInputOf(read, scene, defaultEpsilon)
  if (mesh === undefined || input === undefined) throw new Error(`nothing to search in ${program}: ${JSON.stringify([...scene.findings, ...findings])}`)
  const searcher = new MotionSearcher(input, mesh, neverCancelled)
  const figures = newContactFigures(0, read.toolpath.count)
  for (let first = 0; first < read.toolpath.count; first += motionsPerRun) {
    placeFigures(figures, searcher.searchRun(first, Math.min(motionsPerRun, read.toolpath.count - first)))
  }
  return underWaivers(read, [...scene.findings, ...findings, ...contactFindings(read, scene, mesh, figures), ...findingsOfSurface(read, scene, mesh)])
}

/** The 1-based line and what it says, for a comparison that can be read. */
export function placed(finding: Finding, text: string): { rule: string, level: string, line: number } {
  return { rule: finding.rule, level: finding.level, line: text.slice(0, finding.span.start).split('\n').length }
}
