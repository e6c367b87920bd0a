import type { Cancellation } from '../../../shared/cancellation.ts'
import type { MotionPose } from '../../../shared/motion-pose.ts'
import type { PieceDistance } from '../geometry/piece-distance.ts'
import { roundingAllowance } from '../geometry/tolerance.ts'
import type { MeshTree } from '../mesh/mesh-tree.ts'
import { cellHalf, cellMiddle } from './time-cells.ts'
import { TriangleSearch } from './triangle-search.ts'
import { BOUND, CENTRE, LIMIT, NodeBound } from './node-bound.ts'
import type { PoseCells } from './pose-cells.ts'

/** Cells of the tree and of triangles looked at before a search gives up and says what it has proven so far: some 50 ms. */
const workLimit = 60_000

/** A time that is left out is rounded to cells below this number: one of 256 parts of the motion. */
const coarsestLeft = 256

/**
 * mm. Deeper than this nobody needs the last micrometre, but everybody wants to be told soon that the
 * work offset is wrong: the search then gives up earlier, and says how far it has come.
 */
const grossDepth = 1
const grossWorkLimit = 2_000

/**
 * Cells between two looks at whether anyone still waits: well under a millisecond. The two triangles of a leaf are searched to their
 * end first, which adds ten milliseconds at the very most.
 */
export const cellsBetweenLooks = 1024

/**
 * The smallest signed distance of one convex piece to the mesh over one whole motion, by branch and
 * bound over (tree node) × (time cell), without sampling.
 *
 * With c a node's centre, h its half-extents, u = c − tool point, g = ∇f(c) at the cell's middle, V
 * the tool point's velocity and Ω the axis' turning, the relative place y of a point x of the node
 * obeys y′ = −(V + Ω × u) in the tool frame and |y″| ≤ |V′| + 2|Ω||V| + (|Ω′| + |Ω|²)|u|. f is
 * convex and 1-Lipschitz, so its tangent bounds it from below:
 *   f ≥ f(c) − max_{x} g·(c − x) − |g·(V + Ω × u)| τ − |Ω| τ |h| − ½ τ² sup|y″|.
 */
export class ComponentSearch {
  /** Smallest value attained; Infinity when nothing was found below the cap. */
  value = Infinity
  /** No point of the mesh comes nearer than this during the motion. */
  certified = -Infinity
  /** Triangle, point and time of the smallest value. */
  triangle = -1
  readonly point = new Float64Array(3)
  time = 0

  readonly #tree: MeshTree
  readonly #piece: PieceDistance
  readonly #bound: NodeBound
  readonly #triangles: TriangleSearch
  readonly #cancellation: Cancellation
  #nodeStack = new Int32Array(256)
  #timeStack = new Int32Array(256)
  #boundStack = new Float64Array(256)
  #splitStack = new Uint8Array(256)
  #top = 0

  constructor(tree: MeshTree, piece: PieceDistance, motion: MotionPose, cells: PoseCells, cancellation: Cancellation) {
    this.#cancellation = cancellation
    this.#tree = tree
    this.#piece = piece
    this.#bound = new NodeBound(tree, piece, motion, cells)
    this.#triangles = new TriangleSearch(tree, piece, motion, cells)
  }

  /**
   * Searches the motion in hand for values below `cap`, to a proven width of `epsilon`. `from` leaves
   * out the time before it, rounded down to a time cell. Afterwards the true minimum lies in
   * [certified, value], or is at least `certified` when nothing was found. The answer depends on the
   * motion alone, not on what was searched before: results can be kept and used again. Once cancelled it
   * ends with what is sure of any motion.
   */
  run(cap: number, epsilon: number, from = 0): void {
    const triangles = this.#triangles, links = this.#tree.links, limits = this.#bound.numbers
    triangles.start(cap, epsilon)
    let gaveUp = Infinity, nextLook = 1
    this.#top = 0
    this.#bound.begin()
    limits[LIMIT] = triangles.best - epsilon
    this.#pushRoots(from)
    // No point lies deeper in the piece than its inscribed ball: at that depth it is buried, and the search over.
    const deepest = -this.#piece.inradius
    while (this.#top > 0 && triangles.best - epsilon > deepest) {
      const i = --this.#top
      if (this.#boundStack[i] >= triangles.best - epsilon) continue
      const node = this.#nodeStack[i], cell = this.#timeStack[i]
      if (++triangles.work >= nextLook) {
        nextLook = triangles.work + cellsBetweenLooks
        if (this.#cancellation.cancelled()) {
          gaveUp = -Infinity
          break
        }
      }
      if (triangles.work > (triangles.best < -grossDepth ? grossWorkLimit : workLimit)) {
        gaveUp = Math.min(gaveUp, this.#boundStack[i])
        continue
      }
      if (this.#splitStack[i] === 1) {
        this.#pushPair(node, cell * 2, node, cell * 2 + 1)
      } else if (links[node * 2 + 1] === 0) {
        this.#pushPair(node + 1, cell, links[node * 2], cell)
      } else {
        const first = links[node * 2], end = first + links[node * 2 + 1]
        for (let t = first; t < end; t++) triangles.search(t, cell)
        limits[LIMIT] = triangles.best - epsilon
      }
    }
    const attained = triangles.best < cap
    this.value = attained ? triangles.best : Infinity
    this.certified = Math.max(Math.min(triangles.best - epsilon, gaveUp, triangles.gaveUp), deepest) - roundingAllowance
    this.triangle = triangles.bestTriangle
    this.time = triangles.bestTime
    if (attained) this.point.set(triangles.bestPoint)
  }

  /** Cells the last search looked at. */
  get work(): number {
    return this.#triangles.work
  }

  /**
   * Bounds both cells and pushes those worth a look, the likelier one on top: the bounds of large nodes
   * lie far below what is in them, so the value at the centre has a say too. Without it the first
   * triangles found are far from the nearest, and the search takes a third longer.
   */
  #pushPair(nodeA: number, cellA: number, nodeB: number, cellB: number): void {
    const bound = this.#bound, numbers = bound.numbers
    bound.over(nodeA, cellA)
    const a = numbers[BOUND], centreA = numbers[CENTRE], splitA = bound.timeIsLoose
    bound.over(nodeB, cellB)
    const b = numbers[BOUND], limit = numbers[LIMIT]
    if (a >= limit) {
      if (b < limit) this.#push(nodeB, cellB, b, bound.timeIsLoose)
    } else if (b >= limit) {
      this.#push(nodeA, cellA, a, splitA)
    } else if (a + centreA < b + numbers[CENTRE]) {
      this.#push(nodeB, cellB, b, bound.timeIsLoose)
      this.#push(nodeA, cellA, a, splitA)
    } else {
      this.#push(nodeA, cellA, a, splitA)
      this.#push(nodeB, cellB, b, bound.timeIsLoose)
    }
  }

  /** The whole tree over the time cells that cover [from, 1]. */
  #pushRoots(from: number): void {
    let cell = 1
    // Halves that lie wholly behind `from` are taken whole; the one that holds it is cut on.
    while (from > cellMiddle[cell] - cellHalf[cell] && cell < coarsestLeft) {
      const later = cell * 2 + 1
      if (from < cellMiddle[cell]) {
        this.#pushRoot(later)
        cell *= 2
      } else cell = later
    }
    this.#pushRoot(cell)
  }

  #pushRoot(cell: number): void {
    const { numbers } = this.#bound
    this.#bound.over(0, cell)
    if (numbers[BOUND] < numbers[LIMIT]) this.#push(0, cell, numbers[BOUND], this.#bound.timeIsLoose)
  }

  #push(node: number, cell: number, bound: number, split: boolean): void {
    const i = this.#top++
    if (i === this.#nodeStack.length) this.#grow()
    this.#nodeStack[i] = node
    this.#timeStack[i] = cell
    this.#boundStack[i] = bound
    this.#splitStack[i] = split ? 1 : 0
  }

  #grow(): void {
    const size = this.#nodeStack.length * 2
    const enlarge = <T extends Int32Array | Float64Array | Uint8Array>(old: T, next: T): T => {
      next.set(old)
      return next
    }
    this.#nodeStack = enlarge(this.#nodeStack, new Int32Array(size))
    this.#timeStack = enlarge(this.#timeStack, new Int32Array(size))
    this.#boundStack = enlarge(this.#boundStack, new Float64Array(size))
    this.#splitStack = enlarge(this.#splitStack, new Uint8Array(size))
  }
}
