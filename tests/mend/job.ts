import { neverCancelled } from '../../shared/cancellation.ts'
import type { Finding } from '../../shared/finding.ts'
import type { Tool } from '../../shared/setup.ts'
import {
  contactFindings, defaultEpsilon, openScene, readProgram, SceneSearcher, searchInputOf, underWaivers, type ContactFigures, type Obstacle, type ReadProgram, type Scene,
} from '../../server/engine/service.ts'
import { mendProgram, type MendAnswer, type MendOptions } from '../../server/engine/mend-program.ts'
import { buildMeshTree, type MeshTree } from '../../server/engine/mesh/mesh-tree.ts'

// A program with its sheet and a mesh, checked and mended in this thread as the command line does it in several.

export const machineText = JSON.stringify({
  name: 'table-table, A under C',
  axes: {
    X: { kind: 'linear', direction: [1, 0, 0], range: [-400, 400], rapid: 30000, maxFeed: 15000 },
    Y: { kind: 'linear', direction: [0, 1, 0], range: [-400, 400], rapid: 30000, maxFeed: 15000 },
    Z: { kind: 'linear', direction: [0, 0, 1], range: [-600, 200], rapid: 30000, maxFeed: 15000 },
    A: { kind: 'rotary', direction: [-1, 0, 0], through: [0, 0, -430], range: [-110, 60], rapid: 14400, maxFeed: 9000 },
    C: { kind: 'rotary', direction: [0, 0, -1], through: [0, 0, 0], range: null, rapid: 28800, maxFeed: 14400 },
  },
  table: ['A', 'C'], head: ['X', 'Y', 'Z'], spindle: { gauge: [0, 0, 0], axis: [0, 0, 1] }, home: { X: 0, Y: 0, Z: 0, A: 0, C: 0 },
  control: { toolCentreOn: ['G43.4'], toolVectorOn: ['G43.5'], toolCentreOff: ['G49'] },
})

export interface JobWish {
  readonly program: string
  /** The first tool of the sheet, as the sheet writes it. */
  readonly tool: object
  readonly limits?: object
  readonly passes?: readonly object[]
  /** Corners of the part's triangles. */
  readonly mesh: Float64Array
  readonly barriers?: readonly { readonly name: string, readonly corners: Float64Array }[]
  readonly machine?: string
  /** Programs in files of their own, by number. */
  readonly called?: Readonly<Record<number, string>>
  /** Bodies of the machine; corners in the machine frame, every joint at zero. */
  readonly bodies?: readonly { readonly name: string, readonly on: string, readonly corners: Float64Array }[]
}

export class Job {
  readonly scene: Scene
  readonly mesh: MeshTree
  readonly obstacles: readonly Obstacle[]
  readonly program: ReadProgram
  readonly figures: ContactFigures
  readonly #called: NonNullable<JobWish['called']>

  constructor({ program, tool, limits, passes, mesh, barriers = [], machine: bare = machineText, bodies = [], called = {} }: JobWish) {
    this.#called = called
    const machine = bodies.length === 0 ? bare : JSON.stringify({ ...JSON.parse(bare) as object, bodies: bodies.map(({ name, on }) => ({ name, on, mesh: `${name}.stl` })) })
    const sheet = JSON.stringify({
      machine: 'mill.machine.json', offsets: { G54: { X: 0, Y: 0, Z: -380, A: 0, C: 0 } }, part: { mesh: 'part.stl' },
      barriers: barriers.map(({ name }) => ({ name, mesh: `${name}.stl` })), limits, passes, tools: [{ number: 1, name: 'tool', lengthOffset: 1, ...tool }],
    })
    this.scene = openScene({ path: 'job.setup.json', text: sheet }, { path: 'mill.machine.json', text: machine })
    if (!this.scene.usable || this.scene.findings.some(({ rule }) => rule === 'setup-error')) throw new Error(JSON.stringify(this.scene.findings))
    this.mesh = buildMeshTree(mesh, false).tree
    this.obstacles = [
      ...barriers.map(({ corners }, index): Obstacle => ({ kind: 'barrier', index, tree: buildMeshTree(corners, false).tree })),
      ...bodies.map(({ corners }, index): Obstacle => ({ kind: 'body', index, tree: buildMeshTree(corners, false).tree })),
    ]
    this.program = this.read(program)
    this.figures = this.search(this.program)
  }

  get tool(): Tool {
    const [tool] = this.scene.setup?.tools ?? []
    if (tool === undefined) throw new Error('the sheet gives no tool')
    return tool
  }

  read(text: string): ReadProgram {
    return readProgram({ path: 'job.nc', text }, this.scene, {
      programs: number => {
        const file = this.#called[number]
        return file === undefined ? undefined : { path: `${number}.nc`, text: file }
      },
    })
  }

  search(program: ReadProgram): ContactFigures {
    const input = searchInputOf(program, this.scene, defaultEpsilon)
    if (input === undefined) throw new Error('nothing to search')
    return new SceneSearcher(input, { part: this.mesh, obstacles: this.obstacles }, neverCancelled).searchRun(0, program.toolpath.count)
  }

  /** Everything found in a text, graver than a note. */
  findings(text: string): Finding[] {
    const program = this.read(text), figures = this.search(program), { mesh } = this
    const found = contactFindings(program, this.scene, { ...mesh, chordErrors: new Float32Array(mesh.triangleCount) }, figures)
    return underWaivers(program, found).filter(({ level, rule }) => level !== 'note' && rule !== 'mesh-units-doubtful')
  }

  mend(options: MendOptions = {}): MendAnswer {
    const { program, scene, mesh, obstacles, figures } = this
    return mendProgram({ program, scene, mesh, obstacles, figures, cancellation: neverCancelled, ...options })
  }
}

/** Two triangles: a flat piece through a point, square to a direction, its sides along the two others; counterclockwise seen along −normal. */
export function sheetOfMesh(at: readonly number[], u: readonly number[], v: readonly number[]): Float64Array {
  const corner = (a: number, b: number) => [0, 1, 2].map(k => (at[k] ?? 0) + a * (u[k] ?? 0) + b * (v[k] ?? 0))
  return Float64Array.from([...corner(-1, -1), ...corner(1, -1), ...corner(1, 1), ...corner(-1, -1), ...corner(1, 1), ...corner(-1, 1)])
}

export function joinMeshes(...meshes: readonly Float64Array[]): Float64Array {
  const all = new Float64Array(meshes.reduce((sum, mesh) => sum + mesh.length, 0))
  let at = 0
  for (const mesh of meshes) {
    all.set(mesh, at)
    at += mesh.length
  }
  return all
}

/** A start of a program under tool-centre control, the tool at a place and a lean. */
export function head(at: string, code = 'G43.4'): string {
  return `%\nN10 G21 G17 G90 G94\nN20 G40 G49 G80\nN30 G54\nN40 T1 M6\nN50 S8000 M3\nN60 G0 ${at.replace(/[XYZ]\S*\s?/g, '').trim() || 'A0. C0.'}\nN70 ${code} H1 ${at.replace(/[AC]\S*\s?/g, '').trim()}\n`
}
