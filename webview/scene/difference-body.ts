import type { PathArrays } from '../geometry/path-geometry.ts'
import { segmentsOfMotions } from '../geometry/path-geometry.ts'
import type { LoadedOther } from '../scene-loader.ts'
import type { Palette } from '../theme.ts'
import { Group, LineMaterial, LineSegments2, LineSegmentsGeometry } from '../three.ts'

/** Dashes of motion that is no more, CSS pixels. */
const DASH = 7
const GAP = 5

/** What differs in motion from another version: the earlier way dashed, the later one drawn through, both over everything. What a mend would make is the later one. */
export class DifferenceBody {
  readonly object = new Group()
  readonly #oldMaterial = new LineMaterial({ linewidth: 3, depthTest: false, transparent: true, dashed: true, dashSize: DASH, gapSize: GAP })
  readonly #newMaterial = new LineMaterial({ linewidth: 3, depthTest: false, transparent: true })
  readonly #old = new LineSegments2(new LineSegmentsGeometry(), this.#oldMaterial)
  readonly #new = new LineSegments2(new LineSegmentsGeometry(), this.#newMaterial)

  constructor() {
    for (const line of [this.#new, this.#old]) {
      line.frustumCulled = false
      line.renderOrder = 3
      line.visible = false
      this.object.add(line)
    }
  }

  set(other: LoadedOther | undefined, own: PathArrays | undefined): void {
    const changes = other?.description.changes ?? []
    const gather = (path: PathArrays | undefined, side: 'old' | 'new') => path === undefined ? [] : changes.map(change => segmentsOfMotions(path, change[side].first, change[side].end - 1))
    const others = gather(other?.path, 'old'), owns = gather(own, 'new'), isMend = other?.description.mend !== undefined
    this.#show(this.#old, isMend ? owns : others)
    this.#show(this.#new, isMend ? others : owns)
    this.#old.computeLineDistances()
  }

  #show(line: LineSegments2, pieces: readonly Float32Array[]): void {
    const segments = new Float32Array(pieces.reduce((sum, piece) => sum + piece.length, 0))
    let at = 0
    for (const piece of pieces) {
      segments.set(piece, at)
      at += piece.length
    }
    line.geometry.dispose()
    line.geometry = new LineSegmentsGeometry().setPositions(segments)
    line.visible = segments.length > 0
  }

  scale(pixelsPerUnit: number): void {
    this.#oldMaterial.dashScale = pixelsPerUnit
  }

  paint(palette: Palette): void {
    this.#oldMaterial.color.set(palette.before)
    this.#newMaterial.color.set(palette.after)
  }
}
