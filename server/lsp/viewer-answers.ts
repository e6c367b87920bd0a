import { basename } from 'node:path'
import type { Finding } from '../../shared/finding.ts'
import type { PartDescription, SceneDescription, SceneFinding } from '../../shared/protocol/scene-messages.ts'
import type { PoseAnswer } from '../../shared/protocol/server-messages.ts'
import { clearancesOf, motionsOfLine, poseAfterLine, toolOutlines } from '../engine/editor-service.ts'
import type { Reading } from './reading.ts'
import { describeAround } from './scene-around.ts'
import type { LargeArray, SceneBuffers } from './scene-buffers.ts'
import { describeContact, describeMotions } from './scene-motions.ts'

/** What the viewer shows of a program. The large arrays are put into `buffers` under the keys it names. */
export async function describeScene(uri: string, reading: Reading, buffers: SceneBuffers): Promise<SceneDescription> {
  const { scene } = reading.scene
  const notes: string[] = []
  if (reading.notSearched !== undefined) notes.push(`Contact is not searched: ${reading.notSearched}.`)
  const part = await partOf(reading, notes)
  const around = await describeAround(reading.scene)
  notes.push(...around.notes)
  const { positions, lines, flags, motions } = reading.path
  const key = `path/${reading.serial}`
  if (lines.length === 0) notes.push('The program moves nothing that could be drawn.')
  const arrays: Record<string, LargeArray> = {
    [`${key}/positions`]: positions,
    [`${key}/lines`]: lines,
    [`${key}/flags`]: flags,
    [`${key}/motions`]: motions,
    ...around.arrays,
    ...(part === undefined ? {} : { [part.description.positions]: part.positions }),
  }
  const motionsDescription = describeMotions(reading.view, key, arrays)
  const contact = describeContact(reading, key, arrays)
  buffers.keep(uri, arrays)
  return {
    uri,
    version: reading.version,
    unit: reading.view.stateAt(reading.document.lineCount).unit ?? scene.setup?.unit ?? 1,
    part: part?.description,
    bodies: around.bodies,
    stock: around.stock,
    path: { vertices: lines.length, positions: `${key}/positions`, lines: `${key}/lines`, flags: `${key}/flags`, motions: `${key}/motions` },
    motions: motionsDescription,
    contact,
    tools: toolOutlines(scene.setup),
    findings: reading.findings().filter(one => one.file === undefined).map(one => sceneFinding(one, reading)),
    notes,
  }
}

/** Where the tool stands when a line's block is done. */
export function answerPose(line: number, reading: Reading): PoseAnswer {
  const { view, document, figures, scene: { scene } } = reading
  const text = document.getText({ start: { line, character: 0 }, end: { line: line + 1, character: 0 } }).replace(/[\r\n]+$/, '')
  const pose = poseAfterLine(view, line)
  const toolNumber = view.stateAt(line + 1).tool
  if (pose === undefined) return { line, text, toolNumber }
  const known = [...motionsOfLine(view.motions, line)].map(motion => figures.of(motion))
  const searched = known.filter(one => one !== undefined)
  return {
    line,
    text,
    pose: {
      point: pose.point,
      axis: pose.axis,
      rotary: scene.machine.axes.flatMap(({ letter, kind }, joint) =>
        kind === 'rotary' ? [{ letter, degrees: (pose.joints[joint] ?? 0) * 180 / Math.PI }] : []),
    },
    tool: pose.tool,
    toolNumber,
    rapid: pose.rapid,
    clearances: known.length > 0 && searched.length === known.length ? clearancesOf(searched) : undefined,
  }
}

async function partOf(reading: Reading, notes: string[]): Promise<{ description: PartDescription, positions: Float32Array } | undefined> {
  const { setup, usable } = reading.scene.scene
  if (setup?.part === undefined || !usable) return undefined
  const { mesh, positions, key } = await reading.scene.contact()
  if (mesh === undefined || positions === undefined) {
    notes.push(`The part's mesh ${basename(setup.part.path)} cannot be shown; its findings say why.`)
    return undefined
  }
  const description: PartDescription = {
    name: basename(setup.part.path), triangles: mesh.triangleCount, positions: key, min: mesh.min, max: mesh.max,
  }
  return { description, positions }
}

function sceneFinding(finding: Finding, { document }: Reading): SceneFinding {
  const { rule, level, message, span, contact, result, open, waiver } = finding
  const first = document.positionAt(span.start).line, last = document.positionAt(span.end).line
  return {
    rule,
    level,
    message,
    // Contact figures count lines from 1, as people do.
    firstLine: contact === undefined ? first : contact.firstLine - 1,
    lastLine: contact === undefined ? last : contact.lastLine - 1,
    line: contact === undefined ? first : contact.worstLine - 1,
    point: contact?.point ?? result?.point,
    contact,
    open,
    waiver: waiver?.reason,
  }
}
