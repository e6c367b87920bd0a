import type { BodyDescription, StockShape } from '../../shared/protocol/scene-messages.ts'
import type { Obstacle } from '../engine/service.ts'
import type { LoadedScene } from './loaded-scene.ts'
import type { LargeArray } from './scene-buffers.ts'

export interface AroundThePart {
  readonly bodies: readonly BodyDescription[]
  readonly stock: StockShape | undefined
  /** By the keys that the bodies name. */
  readonly arrays: Readonly<Record<string, LargeArray>>
  /** What there is and cannot be shown, in sentences. */
  readonly notes: readonly string[]
}

/** What stands around the part, for the viewer: fixtures, barriers, bodies of the machine, and the stock before the first block. */
export async function describeAround(loaded: LoadedScene): Promise<AroundThePart> {
  const { setup, usable } = loaded.scene
  if (setup?.part === undefined || !usable) return { bodies: [], stock: undefined, arrays: {}, notes: [] }
  const { obstacles, key } = await loaded.contact()
  const bodies: BodyDescription[] = []
  const arrays: Record<string, LargeArray> = {}
  for (const obstacle of obstacles) {
    const named = nameOf(obstacle, loaded)
    if (named === undefined) continue
    const { tree } = obstacle
    const positions = `${key}/${named.kind}/${obstacle.index}`
    arrays[positions] = () => Float32Array.from(tree.corners)
    bodies.push({ ...named, triangles: tree.triangleCount, positions })
  }
  const { stock } = setup
  const isPlain = stock?.kind === 'box' || stock?.kind === 'cylinder'
  return { bodies, stock: isPlain ? stock : undefined, arrays, notes: stock === undefined || isPlain ? [] : ['The stock is given as a mesh or about the part, and is not drawn.'] }
}

function nameOf({ kind, index }: Obstacle, { scene: { setup, machine } }: LoadedScene): Pick<BodyDescription, 'kind' | 'name' | 'joint'> | undefined {
  if (kind === 'body') {
    const body = machine.bodies?.[index]
    return body === undefined ? undefined : { kind: 'machine', name: body.name, joint: body.on }
  }
  // The stock is told by its own form.
  if (kind === 'stock') return undefined
  const named = kind === 'fixture' ? setup?.fixtures[index] : setup?.barriers[index]
  return named === undefined ? undefined : { kind, name: named.name }
}
