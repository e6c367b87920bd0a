import { createHash, randomBytes } from 'node:crypto'
import { closeSync, existsSync, fstatSync, mkdirSync, openSync, readdirSync, readSync, renameSync, rmSync, statSync, utimesSync, writeSync } from 'node:fs'
import { join } from 'node:path'

/** Where results are kept and how much of them. Plain data: goes along to the threads. */
export interface StorePlace {
  readonly folder: string
  /** Bytes that all results together may take; the oldest-used go first. */
  readonly limit: number
}

/** 1 GB: some fifty long programs with their meshes. */
export const defaultStoreLimit = 2 ** 30

/** First bytes of every file: the form of what follows. */
const mark = Buffer.from('TWKEPT1\n')
/** Mark, SHA-256 of the content, its length. */
const headBytes = mark.length + 32 + 8

const ending = '.kept', half = '.part'

/** A half-written file this old belongs to nobody any more, ms. */
const abandoned = 3_600_000

/** A result larger than this share of the limit would push out too much else. */
const largestShare = 0.5

/** Once the limit is passed, results go until this share of it is left. */
const roomLeft = 0.8

/**
 * Results by kind and key on the disk. A key must say everything that the result depends on: the same
 * key means the same bytes for ever, so that two processes may write it at once. Whatever is wrong with a file (cut short,
 * damaged, of another form) makes it missing; whatever is wrong with the folder makes the store do nothing, which
 * is said once. It reads and writes at once: meant for threads that may wait.
 */
export class ResultStore {
  readonly #place: StorePlace
  readonly #say: (sentence: string) => void
  /** Bytes kept, as far as this process knows; undefined before the folder was looked through. */
  #kept: number | undefined
  #broken = false

  constructor(place: StorePlace, say: (sentence: string) => void) {
    this.#place = place
    this.#say = say
  }

  /** The bytes kept under this key, on shared memory if asked for; undefined where there are none that are whole. */
  read(kind: string, key: string, shared = false): Uint8Array | undefined {
    const path = this.#pathOf(kind, key)
    let content: Uint8Array | undefined
    try {
      const file = openSync(path, 'r')
      try {
        content = readWhole(file, shared)
      } finally {
        closeSync(file)
      }
      const now = new Date()
      // The time of change says when a result was last used.
      if (content !== undefined) utimesSync(path, now, now)
      else rmSync(path, { force: true })
    } catch {
      // Not there, or not ours to read or to touch: what was read so far still counts.
    }
    return content
  }

  /** Whether something is kept under this key, whole or not: enough to spare the work of keeping it again. */
  has(kind: string, key: string): boolean {
    return existsSync(this.#pathOf(kind, key))
  }

  /** Keeps the parts, one behind the other, under this key. */
  write(kind: string, key: string, parts: readonly Uint8Array[]): void {
    const size = headBytes + parts.reduce((sum, part) => sum + part.byteLength, 0)
    if (this.#broken || size > this.#place.limit * largestShare) return
    const path = this.#pathOf(kind, key), draft = `${path}.${process.pid}.${randomBytes(6).toString('hex')}${half}`
    try {
      mkdirSync(this.#place.folder, { recursive: true, mode: 0o700 })
      this.#makeRoom(size)
      writeParts(draft, parts)
      // Whoever reads sees the old file, none, or the new one as a whole.
      renameSync(draft, path)
      this.#kept = (this.#kept ?? 0) + size
    } catch (error) {
      this.#broken = true
      remove(draft)
      this.#say(`Results are not kept for the next time: the folder ${this.#place.folder} cannot be written (${error instanceof Error ? error.message : String(error)}).`)
    }
  }

  #pathOf(kind: string, key: string): string {
    return join(this.#place.folder, `${kind}-${key}${ending}`)
  }

  #makeRoom(size: number): void {
    if (this.#kept !== undefined && this.#kept + size <= this.#place.limit) return
    const files = filesIn(this.#place.folder)
    let kept = files.reduce((sum, file) => sum + file.size, 0)
    const wanted = kept + size > this.#place.limit ? this.#place.limit * roomLeft - size : Infinity
    for (const { path, size: freed } of files.sort((a, b) => a.used - b.used)) {
      if (kept <= wanted) break
      rmSync(path, { force: true })
      kept -= freed
    }
    this.#kept = kept
  }
}

/** Removes all that is kept in a folder, and nothing else that may lie there. Answers how much that was. */
export function clearResults(folder: string): { readonly files: number, readonly bytes: number } {
  const files = filesIn(folder)
  for (const { path } of files) rmSync(path, { force: true })
  return { files: files.length, bytes: files.reduce((sum, file) => sum + file.size, 0) }
}

interface KeptFile { readonly path: string, readonly size: number, readonly used: number }

/** The results of a folder; what others left half-written long ago is removed on the way. */
function filesIn(folder: string): KeptFile[] {
  let names: string[]
  try {
    names = readdirSync(folder)
  } catch {
    return []
  }
  const files: KeptFile[] = []
  for (const name of names.filter(one => one.endsWith(ending) || one.endsWith(half))) {
    const path = join(folder, name)
    try {
      const { size, mtimeMs } = statSync(path)
      if (name.endsWith(ending)) files.push({ path, size, used: mtimeMs })
      else if (Date.now() - mtimeMs > abandoned) rmSync(path, { force: true })
    } catch {
      // Another process has just removed it.
    }
  }
  return files
}

function remove(path: string): void {
  try {
    rmSync(path, { force: true })
  } catch {
    // Where a folder cannot be written there is nothing to remove either.
  }
}

function readWhole(file: number, shared: boolean): Uint8Array | undefined {
  const head = Buffer.alloc(headBytes)
  if (readSync(file, head, 0, headBytes, 0) !== headBytes || !head.subarray(0, mark.length).equals(mark)) return undefined
  const length = Number(head.readBigUInt64LE(mark.length + 32))
  if (fstatSync(file).size !== headBytes + length) return undefined
  const content = new Uint8Array(shared ? new SharedArrayBuffer(length) : new ArrayBuffer(length))
  for (let at = 0; at < length;) {
    const count = readSync(file, content, at, Math.min(length - at, 2 ** 28), headBytes + at)
    if (count === 0) return undefined
    at += count
  }
  return digestOf([content]).equals(head.subarray(mark.length, mark.length + 32)) ? content : undefined
}

function writeParts(path: string, parts: readonly Uint8Array[]): void {
  const head = Buffer.alloc(headBytes)
  mark.copy(head)
  digestOf(parts).copy(head, mark.length)
  head.writeBigUInt64LE(BigInt(parts.reduce((sum, part) => sum + part.byteLength, 0)), mark.length + 32)
  const file = openSync(path, 'wx', 0o600)
  try {
    for (const part of [head, ...parts]) for (let at = 0; at < part.byteLength;) at += writeSync(file, part, at, Math.min(part.byteLength - at, 2 ** 28))
  } finally {
    closeSync(file)
  }
}

function digestOf(parts: readonly Uint8Array[]): Buffer {
  const hash = createHash('sha256')
  for (const part of parts) hash.update(part)
  return hash.digest()
}
