/**
 * Bytes that a triangle takes while its mesh is opened: file, corners twice, the library's tree and ours. Measured as the most that a whole
 * check had in memory, less that of one with 1,000 triangles: 506 at 1,000,000 triangles, 487 at 5,000,000. The rest is margin.
 */
const bytesPerTriangle = 600

const MEGABYTE = 2 ** 20

/** The memory that meshes may take, and what is left of it. */
export class MeshRoom {
  readonly #limit: number
  #left: number
  /** What did not fit, in words. */
  #wanted = ''

  /** `limit`: bytes. */
  constructor(limit: number) {
    this.#limit = limit
    this.#left = limit
  }

  /** Whether a file is larger than all that is left: it need not even be read. */
  isTooNarrowFor(bytes: number): boolean {
    this.#wanted = `its file alone has ${megabytes(bytes)} MB`
    return bytes > this.#left
  }

  /** Takes the room of so many triangles; false where there is not that much left, and then nothing is taken. */
  take(triangles: number): boolean {
    const bytes = triangles * bytesPerTriangle
    this.#wanted = `its ${triangles} triangles would take some ${megabytes(bytes)} MB`
    if (bytes > this.#left) return false
    this.#left -= bytes
    return true
  }

  /** Why the last mesh did not fit, and what helps; the end of a sentence. */
  reason(): string {
    return `${this.#wanted}, and of the memory limit of ${megabytes(this.#limit)} MB ${megabytes(this.#left)} MB are left. Raise the limit, or give the mesh fewer triangles where no tool comes near.`
  }
}

function megabytes(bytes: number): number {
  return Math.ceil(bytes / MEGABYTE)
}
