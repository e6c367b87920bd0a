import { isSharable, sharedMemory } from '../../shared/shared-memory.ts'
import type { Toolpath } from '../../shared/toolpath.ts'

/** The motions on shared memory, so that no thread needs a copy; what lies there already stays. */
export function shareToolpath(path: Toolpath): Toolpath {
  const share = <T extends Uint8Array | Uint32Array | Int32Array | Float32Array | Float64Array>(array: T): T => {
    if (isSharable(array.buffer)) return array
    const copy = new (array.constructor as new (buffer: ArrayBufferLike) => T)(sharedMemory(array.byteLength))
    copy.set(array as never)
    return copy
  }
  return {
    ...path,
    kind: share(path.kind), flags: share(path.flags), line: share(path.line), tool: share(path.tool),
    seconds: share(path.seconds), joints: share(path.joints), arcOf: share(path.arcOf), arcs: share(path.arcs),
  }
}
