/** Memory that threads can share, where there is any. */
export function sharedMemory(bytes: number): ArrayBufferLike {
  return typeof SharedArrayBuffer === 'undefined' ? new ArrayBuffer(bytes) : new SharedArrayBuffer(bytes)
}

/** Whether threads can share what lies there, or nothing can be shared at all. */
export function isSharable(memory: ArrayBufferLike): boolean {
  return typeof SharedArrayBuffer === 'undefined' || memory instanceof SharedArrayBuffer
}
