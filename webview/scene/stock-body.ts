import type { StockShape } from '../../shared/protocol/scene-messages.ts'
import { latheSurface } from '../geometry/lathe.ts'
import type { Plane } from '../geometry/section-plane.ts'
import type { Palette } from '../theme.ts'
import { BufferAttribute, BufferGeometry, Group, Mesh } from '../three.ts'
import type { Showing } from '../view-state.ts'
import { setColour, setCut, surfaceMaterial } from './surface-material.ts'
import { ThinLines } from './thin-lines.ts'

const SIDES = 96

/** The stock before the first block: its edges alone, so that it does not veil the part, or as a body. */
export class StockBody {
  readonly object = new Group()
  readonly #surface = surfaceMaterial({ facets: true, marksInside: false })
  readonly #edges = new ThinLines('dotted')
  readonly #body = new Mesh(new BufferGeometry(), this.#surface)
  #shape: StockShape | undefined

  constructor() {
    this.object.add(this.#edges.object, this.#body)
  }

  set(shape: StockShape | undefined): void {
    this.#shape = shape
    this.#body.geometry.dispose()
    this.#body.geometry = new BufferGeometry()
    if (shape === undefined) return
    this.#edges.set(shape.kind === 'box' ? boxEdges(shape) : cylinderEdges(shape))
    if (shape.kind === 'box') {
      this.#body.geometry.setAttribute('position', new BufferAttribute(boxFacets(shape), 3))
    } else {
      const radius = shape.diameter / 2
      const { positions, indices } = latheSurface([[radius, shape.bottom], [radius, shape.top]], SIDES)
      this.#body.geometry.setAttribute('position', new BufferAttribute(positions, 3))
      this.#body.geometry.setIndex(new BufferAttribute(indices, 1))
    }
  }

  show(showing: Showing): void {
    const isThere = this.#shape !== undefined
    this.#edges.object.visible = isThere && showing === 'see-through'
    this.#body.visible = isThere && showing === 'solid'
  }

  cut(plane: Plane | undefined): void {
    setCut(this.#surface, plane)
  }

  scale(pixelsPerUnit: number): void {
    this.#edges.scale(pixelsPerUnit)
  }

  paint(palette: Palette): void {
    setColour(this.#surface, 'colour', palette.stock)
    setColour(this.#surface, 'insideColour', palette.partInside)
    this.#edges.paint(palette.stock)
  }
}

type Box = Extract<StockShape, { kind: 'box' }>

function cornerOf({ min, max }: Box, i: number): readonly number[] {
  return [(i & 1) === 0 ? min[0] : max[0], (i & 2) === 0 ? min[1] : max[1], (i & 4) === 0 ? min[2] : max[2]]
}

function boxEdges(box: Box): Float32Array {
  const pairs = [[0, 1], [2, 3], [4, 5], [6, 7], [0, 2], [1, 3], [4, 6], [5, 7], [0, 4], [1, 5], [2, 6], [3, 7]]
  return Float32Array.from(pairs.flat().flatMap(i => cornerOf(box, i)))
}

function boxFacets(box: Box): Float32Array {
  const sides = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]]
  return Float32Array.from(sides.flatMap(([a = 0, b = 0, c = 0, d = 0]) => [a, b, c, a, c, d]).flatMap(i => cornerOf(box, i)))
}

/** Both rims, and four lines down the side. */
function cylinderEdges({ diameter, bottom, top }: Extract<StockShape, { kind: 'cylinder' }>): Float32Array {
  const at = (side: number, height: number) => [diameter / 2 * Math.cos(side / SIDES * 2 * Math.PI), diameter / 2 * Math.sin(side / SIDES * 2 * Math.PI), height]
  const rims = Array.from({ length: SIDES }, (_, side) => [bottom, top].flatMap(height => [...at(side, height), ...at(side + 1, height)]))
  const sides = [0, 1, 2, 3].map(quarter => [...at(quarter * SIDES / 4, bottom), ...at(quarter * SIDES / 4, top)])
  return Float32Array.from([...rims, ...sides].flat())
}
