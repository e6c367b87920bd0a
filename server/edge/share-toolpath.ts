import type { Toolpath } from '../../shared/toolpath.ts'

/** Memory that threads can share, where there is any. */
export function sharedMemory(bytes: number): ArrayBufferLike {
  return typeof SharedArrayBuffer === 'undefined' ? new ArrayBuffer(bytes) : new SharedArrayBuffer(bytes)
}

/** The motions on shared memory, so that no thread needs a copy. */
export function shareToolpath(path: Toolpath): Toolpath {
  const share = <T extends Uint8Array | Uint32Array | Int32Array | Float32Array | Float64Array>(array: T): T => {
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
