import type { Cancellation } from '../../../shared/cancellation.ts'
import { MotionPose } from '../../../shared/motion-pose.ts'
import type { MeshTree } from '../mesh/mesh-tree.ts'
import { BodySearch } from './body-search.ts'
import type { ContactFigures } from './contact-figures.ts'
import type { Obstacle } from './obstacle.ts'
import { ObstacleSearch } from './obstacle-search.ts'
import { PoseCells } from './pose-cells.ts'
import { MotionSearcher, type FarFigure, type SearchInput } from './search-motions.ts'

/** All meshes a program is searched against; on shared memory where there is any. */
export interface SceneMeshes {
  readonly part: MeshTree
  readonly obstacles: readonly Obstacle[]
}

/** Searches motions against the part and against everything else that the tool can run into. */
export class SceneSearcher {
  readonly #part: MotionSearcher
  readonly #motion: MotionPose
  readonly #cells: PoseCells
  readonly #obstacles: readonly ObstacleSearch[]
  /** Undefined where the machine has no bodies. */
  readonly #bodies: BodySearch | undefined
  readonly #cancellation: Cancellation

  constructor(input: SearchInput, meshes: SceneMeshes, cancellation: Cancellation) {
    this.#cancellation = cancellation
    this.#part = new MotionSearcher(input, meshes.part, cancellation)
    this.#motion = new MotionPose(input.kinematics, input.toolpath, input.assemblies.map(assembly => assembly?.gaugeLength ?? 0))
    this.#cells = new PoseCells(this.#motion)
    this.#obstacles = meshes.obstacles.filter(({ kind }) => kind === 'fixture' || kind === 'barrier').map(obstacle => new ObstacleSearch(input, obstacle, this.#motion, this.#cells, cancellation))
    const hasBodies = meshes.obstacles.some(({ kind }) => kind === 'body')
    this.#bodies = hasBodies ? new BodySearch(input, meshes.part, meshes.obstacles, this.#motion, cancellation) : undefined
  }

  /** Searches [first, first + count); stops early, with what there is, once cancelled. */
  searchRun(first: number, count: number): ContactFigures {
    const figures = this.#part.searchRun(first, count)
    if (this.#obstacles.length === 0 && this.#bodies === undefined) return figures
    for (let motion = first; motion < first + count && !this.#cancellation.cancelled(); motion++) {
      this.#motion.begin(motion)
      this.#cells.begin()
      for (const obstacle of this.#obstacles) obstacle.search(motion, figures)
      this.#bodies?.search(motion, figures)
    }
    return figures
  }

  /** See `MotionSearcher`. */
  searchFarthest(tool: number, component: number): FarFigure | undefined {
    return this.#part.searchFarthest(tool, component)
  }
}
