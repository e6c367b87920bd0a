import { execFileSync, spawnSync } from 'node:child_process'
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'

// Native libraries that answer parts of the engine's question, as small C++ programs (`native/`): built
// into .cache when compiler and headers are there, and left out, with the reason, when they are not.
// Debian has them as libembree-dev, libcgal-dev and libfcl-dev.

/** What each is built with; the header says whether it is there. CGAL is under the GPL, so that it stays with the tests. */
const peers = {
  embree: { header: 'embree3/rtcore.h', flags: ['-lembree3'], needs: 'Embree 3 (libembree-dev)' },
  cgal: { header: 'CGAL/AABB_tree.h', flags: ['-lgmp'], needs: 'CGAL 5.5 (libcgal-dev)' },
  fcl: { header: 'fcl/fcl.h', flags: ['-I/usr/include/eigen3', '-lfcl', '-lccd'], needs: 'FCL 0.7 (libfcl-dev)' },
} as const satisfies Record<string, { header: string, flags: readonly string[], needs: string }>

export type NativePeer = keyof typeof peers

/** A sphere, its centre at `from` = `to`, or a cylinder on the tool's axis; heights above the tool point, mm. */
export interface NativeBody { readonly kind: 'sphere' | 'cylinder', readonly radius: number, readonly from: number, readonly to: number }

/** mm, part frame. Corners: nine a triangle; points: three each; poses: tool point and unit axis, six each. */
export interface NativeScene {
  readonly corners: Float64Array
  readonly points?: Float64Array
  readonly poses?: Float64Array
  readonly bodies?: readonly NativeBody[]
}

export interface NativeAnswer {
  /** Seconds of processor time the tree took. */
  readonly built: number
  /** Seconds of processor time all questions took. */
  readonly asked: number
  /** One a point, or one a body of every pose; mm. */
  readonly distances: Float64Array
}

/** Why a peer is left out. */
export interface Absent { readonly absent: string }

/** The program of a peer as `npm run bench` has built it from these sources. */
export function builtPeer(name: NativePeer, root: string): string | Absent {
  const { program, changed } = placesOf(name, root)
  return existsSync(program) && statSync(program).mtimeMs > changed ? program : { absent: `${peers[name].needs} has not been built: npm run bench does` }
}

function placesOf(name: NativePeer, root: string): { source: string, program: string, changed: number } {
  const folder = join(root, 'tests/bench/native'), source = join(folder, `${name}.cpp`)
  return { source, program: join(root, '.cache/native', name), changed: Math.max(...[source, join(folder, 'scene.hpp')].map(path => statSync(path).mtimeMs)) }
}

/** Builds a peer's program where it has not been built from these sources, and answers its path. */
export function buildPeer(name: NativePeer, root: string): string | Absent {
  const { header, flags, needs } = peers[name]
  const ready = builtPeer(name, root), { source, program } = placesOf(name, root)
  if (typeof ready === 'string') return ready
  const probe = spawnSync('g++', ['-x', 'c++', '-E', '-I/usr/include/eigen3', '-'], { input: `#if !__has_include(<${header}>)\n#error absent\n#endif\n`, encoding: 'utf8' })
  if (probe.error !== undefined) return { absent: 'no C++ compiler (g++)' }
  if (probe.status !== 0) return { absent: `no ${needs}` }
  mkdirSync(join(root, '.cache/native'), { recursive: true })
  const built = spawnSync('g++', ['-std=c++17', '-O2', '-DNDEBUG', source, '-o', program, ...flags], { encoding: 'utf8' })
  return built.status === 0 ? program : { absent: `${needs} does not build: ${built.stderr.split('\n').find(line => line.includes('error')) ?? 'no reason given'}` }
}

/** Asks a peer's program about a scene. */
export function askPeer(program: string, scene: NativeScene): NativeAnswer {
  const folder = mkdtempSync(join(tmpdir(), 'toolwake-peer-')), asked = join(folder, 'scene'), answered = join(folder, 'answer')
  try {
    writeFileSync(asked, sceneBytes(scene))
    execFileSync(program, [asked, answered])
    const bytes = readFileSync(answered), numbers = new Float64Array(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength))
    return { built: numbers[0], asked: numbers[1], distances: numbers.subarray(2) }
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
}

/** As native/scene.hpp reads it. */
function sceneBytes({ corners, points = new Float64Array(0), poses = new Float64Array(0), bodies = [] }: NativeScene): Uint8Array {
  const head = Uint32Array.of(corners.length / 9, points.length / 3, poses.length / 6, bodies.length)
  const shapes = Float64Array.from(bodies.flatMap(({ kind, radius, from, to }) => [kind === 'sphere' ? 0 : 1, radius, from, to]))
  return Buffer.concat([head, corners, points, poses, shapes].map(numbers => new Uint8Array(numbers.buffer, numbers.byteOffset, numbers.byteLength)))
}
