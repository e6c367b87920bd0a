import type { Cancellation } from '../../shared/cancellation.ts'
import type { Finding } from '../../shared/finding.ts'
import type { Problem } from '../../shared/problem.ts'
import type { MeshPlacement, Stock } from '../../shared/setup.ts'
import { toFindings } from './lint/level-findings.ts'
import { turnAndMove } from './mesh/place-mesh.ts'
import { readMeshFile, type BinaryFile } from './open-mesh.ts'
import type { Scene } from './open-scene.ts'
import { boundsOf, offsetPitch, offsetStock } from './stock/fill-mesh.ts'
import { stockInFrame } from './stock/fill-from.ts'
import { boxStock, cylinderStock } from './stock/fill-shape.ts'
import { bytesAt, pitchFor, type StockBounds } from './stock/grid-frame.ts'
import { packGrid, unpackGrid, type PackedGrid } from './stock/packed-grid.ts'
import type { StockGrid } from './stock/stock-grid.ts'
import { StockSimulation, type StockInput } from './stock/stock-simulation.ts'

/** Bytes that the rays of a stock may take at the pitch that the sheet asks for. */
const mostBytes = 1024 * 1024 * 1024

/** What a stock is made from: plain data, may be cloned into a worker. */
export interface StockSource {
  readonly scene: Scene
  /** The mesh that the stock is, or that it is grown from. */
  readonly file?: BinaryFile
  /** Where another set-up leaves it. */
  readonly before?: StockStage
}

/** A set-up that comes before: its stock, and its programs in their order. */
export interface StockStage {
  readonly source: StockSource
  readonly programs: readonly StockInput[]
}

/** The stock as the programs of a set-up leave it. */
export interface LeftStock {
  readonly grid: PackedGrid
  /** mm. By how much its surface may be off besides the pitch. */
  readonly error: number
  /** What is wrong with what it was filled from. */
  readonly problems: readonly Problem[]
}

/** Remembers what set-ups leave; the same stage, with all that lies in it, leaves the same. */
export interface StockKeeper {
  readonly recall: (stage: StockStage) => LeftStock | undefined
  readonly keep: (stage: StockStage, left: LeftStock) => void
}

export interface OpenedStock {
  /** Absent where the stock cannot be used; the findings say why. */
  readonly simulation?: StockSimulation
  /** False where nobody waited any more: then there is no simulation, and nothing is wrong with the stock. */
  readonly complete: boolean
  readonly findings: readonly Finding[]
}

/** The mesh to read for a scene's stock. */
export function stockFileOf({ setup }: Scene): { readonly path: string, readonly what: string } | undefined {
  if (setup?.stock?.kind === 'mesh') return { path: setup.stock.mesh.path, what: 'The mesh of the stock' }
  return setup?.stock?.kind === 'offset' && setup.part !== undefined ? { path: setup.part.path, what: 'The part\'s mesh' } : undefined
}

/** Fills the rays of the stock; the programs of set-ups that come before are run for it, where the keeper does not know what they leave. */
export function openStock(source: StockSource, cancellation: Cancellation, keeper?: StockKeeper): OpenedStock {
  const problems: Problem[] = []
  const filled = fillStock(source, problems, cancellation, keeper)
  if (cancellation.cancelled()) return { complete: false, findings: [] }
  return { complete: true, simulation: filled === undefined ? undefined : new StockSimulation(filled.grid, filled.error), findings: toFindings(problems) }
}

interface FilledStock {
  readonly grid: StockGrid
  /** mm. By how much its surface may be off besides the pitch. */
  readonly error: number
}

function fillStock(source: StockSource, problems: Problem[], cancellation: Cancellation, keeper: StockKeeper | undefined): FilledStock | undefined {
  const { setup } = source.scene, stock = setup?.stock
  if (setup === undefined || stock === undefined) return undefined
  const place = { file: setup.path, span: setup.spans['stock'] ?? { start: 0, end: 0 } }
  const notFollowed = (why: string) => {
    problems.push({ rule: 'not-checked', ...place, message: `The stock was not followed, so nothing was held against it: ${why}.` })
    return undefined
  }
  const fits = (bounds: StockBounds, pitch: number) => {
    const bytes = bytesAt(bounds, pitch)
    if (bytes <= mostBytes) return true
    notFollowed(`rays ${pitch} mm apart would take ${Math.ceil(bytes / 1024 / 1024)} MB, and ${mostBytes / 1024 / 1024} are allowed; ${pitchFor(bounds, mostBytes)} mm would do`)
    return false
  }
  const made = (bounds: StockBounds, pitch: number, fill: (pitch: number) => StockGrid): FilledStock | undefined =>
    fits(bounds, pitch) ? { grid: fill(pitch), error: 0 } : undefined
  switch (stock.kind) {
    case 'box':
      return made(stock, stock.pitch ?? pitchFor(stock), pitch => boxStock(stock, pitch, cancellation))
    case 'cylinder': {
      const { diameter, bottom, top } = stock, r = diameter / 2, bounds: StockBounds = { min: [-r, -r, bottom], max: [r, r, top] }
      return made(bounds, stock.pitch ?? pitchFor(bounds), pitch => cylinderStock(diameter, bottom, top, pitch, cancellation))
    }
    case 'mesh':
    case 'offset': {
      if (stock.kind === 'offset' && setup.part === undefined) return notFollowed('it is the part grown by an offset, and the sheet names no part')
      const corners = cornersOf(source, stock, setup.part, place, problems)
      if (corners === undefined) return notFollowed(stock.kind === 'mesh' ? 'its mesh cannot be used' : 'the part\'s mesh cannot be used')
      const offset = stock.kind === 'offset' ? stock.offset : 0, bounds = boundsOf(corners, offset)
      const chosen = stock.pitch ?? Math.max(pitchFor(bounds), offsetPitch(corners, offset))
      return made(bounds, chosen, pitch => offsetStock(corners, offset, pitch, cancellation))
    }
    case 'from': {
      const { before } = source
      if (before === undefined) return notFollowed('the set-up that leaves it cannot be used')
      const left = leftBy(before, problems, cancellation, keeper)
      return left === undefined ? undefined : { grid: stockInFrame(left.grid, turnAndMove(stock), stock.pitch, cancellation), error: left.error }
    }
    default:
      return stock satisfies never
  }
}

/** What the programs of a set-up leave, in its own frame; undefined where its stock cannot be used, and once cancelled. */
function leftBy(stage: StockStage, problems: Problem[], cancellation: Cancellation, keeper: StockKeeper | undefined): FilledStock | undefined {
  const known = keeper?.recall(stage)
  if (known !== undefined) {
    problems.push(...known.problems)
    return { grid: unpackGrid(known.grid), error: known.error }
  }
  const found: Problem[] = [], filled = fillStock(stage.source, found, cancellation, keeper)
  problems.push(...found)
  if (filled === undefined || cancellation.cancelled()) return undefined
  const simulation = new StockSimulation(filled.grid, filled.error)
  let error = filled.error
  for (const program of stage.programs) {
    // Each program goes on from what the one before has left.
    error = simulation.run(program, 0, cancellation).bound
    simulation.keep()
    if (cancellation.cancelled()) return undefined
  }
  keeper?.keep(stage, { grid: packGrid(simulation.grid), error, problems: found })
  return { grid: simulation.grid, error }
}

function cornersOf({ file }: StockSource, stock: Stock & { readonly kind: 'mesh' | 'offset' }, part: MeshPlacement | undefined, place: { readonly file: string, readonly span: Problem['span'] }, problems: Problem[]): Float64Array | undefined {
  const placement = stock.kind === 'mesh' ? stock.mesh : part
  if (file === undefined || placement === undefined) return undefined
  const { mesh, problems: found } = readMeshFile(file, placement, place)
  // What is wrong with the part's own mesh is said where the part is read.
  if (stock.kind === 'mesh') problems.push(...found)
  return mesh?.corners
}
