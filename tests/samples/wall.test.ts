import { readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, test } from 'vitest'
import { makeFloor, makeProgram, makeWall } from '../../samples/wall/make-wall.ts'
import { neverCancelled } from '../../shared/cancellation.ts'
import { components, type Component, type ContactProperties } from '../../shared/finding.ts'
import { MotionPose } from '../../shared/motion-pose.ts'
import {
  contactFindings, defaultEpsilon, obstacleFilesOf, openMesh, openObstacles, openScene, readProgram, SceneSearcher, searchInputOf, underWaivers, worstFigures,
} from '../../server/engine/service.ts'
import { style } from '../../server/cli/record/style.ts'
import { FIGURES_PER_MOTION } from '../../server/engine/contact/contact-figures.ts'
import { mendProgram } from '../../server/engine/mend-program.ts'
import { pictureOfFinding } from '../../server/engine/record-pictures.ts'

// The stack of corrections that the wall's page describes: its sheet's plan is made and proven, step by step.

const samples = join(import.meta.dirname, '..', '..', 'samples')
const text = (path: string) => ({ path: join(samples, path), text: readFileSync(join(samples, path), 'utf8') })
const scene = openScene(text('wall/wall.setup.json'), text('duct/duct.machine.json'))
const { mesh } = openMesh({ path: 'wall.stl', bytes: makeWall() }, scene)
const { obstacles } = openObstacles(obstacleFilesOf(scene).map(source => ({ ...source, file: { path: source.path, bytes: makeFloor() } })), scene)

function check(program: string) {
  const read = readProgram({ path: 'wall.nc', text: program }, scene), input = searchInputOf(read, scene, defaultEpsilon)
  if (mesh === undefined || input === undefined) throw new Error('nothing to search')
  const figures = new SceneSearcher(input, { part: mesh, obstacles }, neverCancelled).searchRun(0, read.toolpath.count)
  const findings = underWaivers(read, contactFindings(read, scene, mesh, figures)).filter(({ level }) => level !== 'note')
  return { read, figures, findings, worst: worstFigures(read, scene, figures)[0]?.worst ?? {} }
}

/** The tool cut open where a component comes nearest to the block, as the release record draws a finding, with its look inside. */
function pictureOf({ read, figures }: ReturnType<typeof check>, component: Component): string {
  let worst = components.indexOf(component)
  for (let at = worst; at < figures.value.length; at += FIGURES_PER_MOTION) if (figures.value[at] < figures.value[worst]) worst = at
  const input = searchInputOf(read, scene, defaultEpsilon), motion = Math.floor(worst / FIGURES_PER_MOTION), value = figures.value[worst], line = read.toolpath.line[motion] + 1
  if (mesh === undefined || input === undefined) throw new Error('nothing to draw')
  const pose = new MotionPose(read.kinematics, read.toolpath, input.assemblies.map(each => each?.gaugeLength ?? 0))
  pose.begin(motion)
  pose.at(figures.time[worst])
  const contact: ContactProperties = {
    component, against: 'part', ...value < 0 ? { depth: -value } : { clearance: value }, bound: (value - figures.certified[worst]) / 2, allowed: 0.15,
    point: [figures.point[worst * 3], figures.point[worst * 3 + 1], figures.point[worst * 3 + 2]], toolPoint: [pose.px, pose.py, pose.pz], toolAxis: [pose.ax, pose.ay, pose.az],
    firstLine: line, lastLine: line, worstLine: line, blocks: 1,
  }
  const picture = pictureOfFinding({ program: read, scene, mesh, obstacles }, { rule: `${component}-contact`, level: 'error', message: '', span: { start: 0, end: 0 }, contact })
  if (picture === undefined) throw new Error('nothing was drawn')
  const look = style.slice(style.indexOf('.ground'), style.indexOf('.sign'))
  return `${picture.replace('>', `><style>${look}</style>`).replaceAll('><', '>\n<')}\n`
}

/** The picture beside the sample's page; `UPDATE=1` writes it anew, to be looked at. */
function expectPicture(name: string, picture: string): void {
  if (process.env['UPDATE'] === '1') writeFileSync(join(samples, 'wall', name), picture)
  expect(picture).toBe(text(`wall/${name}`).text)
}

test('the sample\'s program is the computed one', () => {
  expect(text('wall/wall.nc').text).toBe(makeProgram())
})

test('the plan of the sheet brings the cut to nought, ends the path at the floor and gives the shank its clearance', () => {
  const before = check(makeProgram())
  expect([...new Set(before.findings.map(({ rule }) => rule))].sort()).toEqual(['barrier-crossed', 'gouge', 'shank-clearance', 'shank-contact'])
  if (mesh === undefined) throw new Error('no mesh')
  const answer = mendProgram({ program: before.read, scene, mesh, obstacles, figures: before.figures, cancellation: neverCancelled })
  expect(answer.refused).toEqual([])
  const [place] = answer.mended
  expect(place.attempt.steps.map(({ step }) => step.by)).toEqual(['lift', 'end-at', 'lean', 'back-off'])
  expect(place.attempt.stays).toEqual([])

  const after = check(answer.text)
  expect(after.findings).toEqual([])
  const { cutter, shank } = after.worst
  // Pulled back to nought: not below the face by more than the proven width, nor off it where it cut.
  expect((cutter?.value ?? -1) + (cutter?.bound ?? 0)).toBeGreaterThan(-1e-4)
  expect((cutter?.value ?? 1)).toBeLessThan(0.002)
  expect((shank?.value ?? 0) - (shank?.bound ?? 1)).toBeGreaterThanOrEqual(0.15)
  expect((shank?.value ?? 1)).toBeLessThan(0.155)
  // The program's own form: numbers of blocks that stay, three decimals, and comments.
  const lines = answer.text.split('\n')
  for (const line of makeProgram().split('\n').filter(each => each.startsWith('('))) expect(lines).toContain(line)
  expect(lines.filter(line => /^N\d+ X/.test(line)).every(line => /[XYZ]-?\d+\.\d{3}\b/.test(line))).toBe(true)
  // The pictures of the page: where the shank comes nearest, before and after.
  expectPicture('shank-before.svg', pictureOf(before, 'shank'))
  expectPicture('shank-after.svg', pictureOf(after, 'shank'))
  expectPicture('cutter-before.svg', pictureOf(before, 'cutter'))
  expectPicture('cutter-after.svg', pictureOf(after, 'cutter'))
})
