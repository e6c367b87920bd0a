import type { Point } from '../../shared/finding.ts'
import type { MomentPose } from '../geometry/pose-reader.ts'
import { linkInPart } from '../geometry/pose-reader.ts'
import type { MotionTable } from '../geometry/motion-table.ts'
import type { Palette } from '../theme.ts'
import { Group } from '../three.ts'
import type { Label } from './label.ts'
import { ThinLines } from './thin-lines.ts'

interface Frame { readonly name: string, readonly origin: Point, readonly arms: readonly { readonly letter: string, readonly along: Point }[] }

/** The axes of the part's frame, of the machine's and of the tool's, where they stand at the moment. */
export class Frames {
  readonly object = new Group()
  readonly #lines = new ThinLines('solid', { isHidden: false })
  #labels: readonly Label[] = []

  constructor() {
    this.object.add(this.#lines.object)
  }

  /** `size`: length of the arms, mm. */
  place(table: MotionTable | undefined, pose: MomentPose | undefined, size: number): void {
    const frames: Frame[] = [{ name: 'part', origin: [0, 0, 0], arms: named([1, 0, 0], [0, 1, 0], [0, 0, 1]) }]
    if (table !== undefined && pose !== undefined) {
      const [x, y, z, origin] = linkInPart(table.kinematics, undefined, pose.joints)
      frames.push({ name: 'machine', origin, arms: named(x, y, z) })
      frames.push({ name: 'tool', origin: pose.point, arms: [{ letter: 'Z', along: pose.axis }] })
    }
    const ends = frames.flatMap(({ name, origin, arms }) => arms.map(({ letter, along }) => ({ name, letter, origin, end: beyond(origin, along, size) })))
    this.#lines.set(Float32Array.from(ends.flatMap(({ origin, end }) => [...origin, ...end])))
    this.#labels = ends.map(({ name, letter, end }) => ({ text: `${letter} ${name}`, point: end, kind: 'frame' }))
  }

  show(shown: boolean): void {
    this.object.visible = shown
  }

  get labels(): readonly Label[] {
    return this.object.visible ? this.#labels : []
  }

  paint(palette: Palette): void {
    this.#lines.paint(palette.current)
  }
}

function named(x: Point, y: Point, z: Point): Frame['arms'] {
  return [{ letter: 'X', along: x }, { letter: 'Y', along: y }, { letter: 'Z', along: z }]
}

function beyond(origin: Point, along: Point, by: number): Point {
  return [origin[0] + along[0] * by, origin[1] + along[1] * by, origin[2] + along[2] * by]
}
