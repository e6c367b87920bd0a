import { neverCancelled } from '../../shared/cancellation.ts'
import { MotionPose } from '../../shared/motion-pose.ts'
import { ComponentSearch } from '../../server/engine/contact/component-search.ts'
import { PoseCells } from '../../server/engine/contact/pose-cells.ts'
import type { SearchInput } from '../../server/engine/contact/search-motions.ts'
import { PieceDistance } from '../../server/engine/geometry/piece-distance.ts'
import { defaultEpsilon, type PartMesh } from '../../server/engine/service.ts'
import { nearSurface } from '../contact/scanned.ts'
import { inputOfPoses, toolOf, type Pose } from '../contact/scene.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { boreBodies } from './bore.ts'
import { spread, type Load, type Measured } from './measure.ts'
import { askPeer, buildPeer, type NativePeer, type NativeScene } from './native-peers.ts'
import type { Row } from './report.ts'

// Our search beside native libraries, on the same mesh and poses in the same run, by turns. The peers
// time themselves, without reading the scene; all in processor time, so that a busy machine disturbs little.
// What is not installed is named and left out.

const seed = 2027

/** mm. */
const ballRadius = 2
const farthest = 1e5

export interface NativeSize { readonly points: number, readonly poses: number, readonly runs: number }

export interface NativeRows { readonly rows: readonly Row[], readonly leftOut: readonly string[] }

/** `whole`: the certified search of all blocks, one thread. */
export async function nativeRows(root: string, size: NativeSize, corners: Float64Array, mesh: PartMesh, input: SearchInput, whole: Load): Promise<NativeRows> {
  const rows: Row[] = [], leftOut: string[] = []
  const withPeer = async (name: NativePeer, add: (program: string) => Promise<void>) => {
    const program = buildPeer(name, root)
    if (typeof program === 'string') await add(program)
    else leftOut.push(program.absent)
  }
  const { search, points } = ballsNearSurface(corners, mesh, size.points)
  for (const [name, title] of [['embree', 'Embree closest point'], ['cgal', 'CGAL closest point']] as const) {
    await withPeer(name, async program => {
      const { ours, peer } = await byTurns(size.runs, search, program, { corners, points }, size.points)
      rows.push({ name: `one pose, ball, beside ${name}`, unit: 'poses/s', better: 'higher', ...ours, peer: { name: title, value: peer.median } })
    })
  }
  await withPeer('fcl', async program => {
    const scene = { corners, poses: posesOf(input, size.poses), bodies: boreBodies }
    const { ours, peer } = await byTurns(size.runs, whole, program, scene, size.poses)
    rows.push({ name: 'certified search beside fcl', unit: 'blocks/s', better: 'higher', ...ours, peer: { name: 'FCL distance of the same components, one pose a block', value: peer.median } })
  })
  return { rows, leftOut }
}

/** Rates of ours and of the peer, a warm-up first. `asked`: questions of the scene. */
async function byTurns(runs: number, ours: Load, program: string, scene: NativeScene, asked: number): Promise<{ ours: Measured, peer: Measured }> {
  const rates = { ours: [] as number[], peer: [] as number[] }
  for (let i = 0; i <= runs; i++) {
    rates.peer.push(asked / askPeer(program, scene).asked)
    const before = process.cpuUsage()
    await ours.work()
    const { user, system } = process.cpuUsage(before)
    rates.ours.push(ours.units / (user + system) * 1e6)
  }
  return { ours: spread(rates.ours.slice(1)), peer: spread(rates.peer.slice(1)) }
}

/** Balls that stand still within 2 mm of the surface, and their centres; searched to the usual width, without a reach. */
function ballsNearSurface(corners: Float64Array, mesh: PartMesh, count: number): { search: Load, points: Float64Array } {
  const random = new SeededRandom(seed)
  const poses: Pose[] = Array.from({ length: count }, () => nearSurface(corners, random, ballRadius, random.between(-2, 2)))
  // A way from each to the next, and a stay at each: the stays are searched.
  const input = inputOfPoses(toolOf({ shape: 'ball', DC: 2 * ballRadius, LCF: ballRadius }, { point: 'centre' }), poses.flatMap(pose => [pose, pose]))
  const assembly = input.assemblies[0]
  if (assembly === undefined) throw new Error('a ball has a shape')
  const motion = new MotionPose(input.kinematics, input.toolpath, [assembly.gaugeLength]), cells = new PoseCells(motion)
  const search = new ComponentSearch(mesh, new PieceDistance(assembly.shapes[0].pieces[0]), motion, cells, neverCancelled)
  const work = () => {
    for (let i = 0; i < count; i++) {
      motion.begin(2 * i)
      cells.begin()
      search.run(farthest, defaultEpsilon)
      if (search.value === Infinity) throw new Error('the search found nothing')
    }
  }
  return { search: { units: count, work }, points: Float64Array.from(poses.flatMap(({ point }) => [...point])) }
}

/** The tool in the middle of blocks spread over the whole program. */
function posesOf(input: SearchInput, count: number): Float64Array {
  const pose = new MotionPose(input.kinematics, input.toolpath, input.assemblies.map(assembly => assembly?.gaugeLength ?? 0))
  const first = 20, step = (input.toolpath.count - 2 * first) / count
  return Float64Array.from(Array.from({ length: count }, (_, i) => {
    pose.begin(first + Math.floor(i * step))
    pose.at(0.5)
    return [pose.px, pose.py, pose.pz, pose.ax, pose.ay, pose.az]
  }).flat())
}
