import type { OtherVersion } from '../../shared/protocol/scene-messages.ts'
import type { OtherVersionParams } from '../../shared/protocol/server-messages.ts'
import { drawPath, viewProgram } from '../engine/editor-service.ts'
import { compareMotions, readProgram } from '../engine/service.ts'
import type { Reading } from './reading.ts'
import type { SceneBuffers } from './scene-buffers.ts'

let versions = 0

/** Reads another version of a program with the same sheet, and says what differs in motion; its path is put into `buffers`. */
export function describeOther({ uri, text, name, mend }: OtherVersionParams, { program, called, scene: { scene } }: Reading, buffers: SceneBuffers): OtherVersion {
  const other = readProgram({ path: program.path, text }, scene, { programs: called?.find })
  const { changes, sameMotions, rewritten } = compareMotions(other, program, scene)
  const { positions, lines, flags, motions } = drawPath(viewProgram(other, scene))
  const key = `other/${++versions}`
  buffers.keep(uri, { [`${key}/positions`]: positions, [`${key}/lines`]: lines, [`${key}/flags`]: flags, [`${key}/motions`]: motions }, 'other')
  return {
    name,
    mend,
    path: { vertices: lines.length, positions: `${key}/positions`, lines: `${key}/lines`, flags: `${key}/flags`, motions: `${key}/motions` },
    changes: changes.map(({ oldFirst, oldMotions, newFirst, newMotions, newLines, tool }) => ({
      old: { first: oldFirst, end: oldFirst + oldMotions },
      new: { first: newFirst, end: newFirst + newMotions },
      // The comparison counts lines from 1, as people do.
      lines: newLines === undefined ? undefined : [newLines.first - 1, newLines.last - 1],
      apart: tool === undefined ? undefined : { value: tool.point.value, atMost: tool.point.atMost },
      turned: tool === undefined ? undefined : { value: tool.axis.value, atMost: tool.axis.atMost },
    })),
    sameMotions,
    rewritten,
  }
}
