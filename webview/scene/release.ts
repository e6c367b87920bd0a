import type { Object3D } from '../three.ts'
import { LineSegments, Mesh, Points } from '../three.ts'

/**
 * Frees what an object and those within it hold on the card. What is drawn again is put there again. To be done while the card is
 * lost: what is freed once another one is there would be looked for on that, and the browser complains.
 */
export function release(object: Object3D): void {
  object.traverse(one => {
    if (!(one instanceof Mesh || one instanceof LineSegments || one instanceof Points)) return
    one.geometry.dispose()
    for (const material of [one.material].flat()) material.dispose()
  })
}
