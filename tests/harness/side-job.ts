import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { stlBytes } from '../../samples/stl-bytes.ts'
import { boxTriangles } from './example-mesh.ts'

/**
 * Three axes, and the side of a block with 1 mm of stock, 15 mm down: the holder's face, 14 mm over the tip, stands 1 mm in the block's top, and no path
 * that still cuts can help it. 15 mm and the holder's clearance of 1 mm are what the tool has to stick out, to the next tenth. In `ledge.setup.json` its flange,
 * 34 to 44 mm over the tip, goes under a ledge of the stock 45 mm over the tip.
 */
export class SideJob {
  readonly folder = mkdtempSync(join(tmpdir(), 'toolwake-side-'))
  readonly program = '%\nN10 G21 G17 G90 G94\nN20 G40 G49 G80\nN30 G54\nN40 T1 M6\nN50 S9000 M3\nN60 G0 X-10. Y-80.\nN70 G43 H1 Z60. M8\nN80 Z-15.\nN90 G1 Y-3. F800.\nN100 X30.\nN110 Y-80.\nN120 G0 Z60. M9\nN130 M5\nN140 M30\n%\n'

  constructor() {
    const axis = (direction: readonly number[], range: readonly number[]) => ({ kind: 'linear', direction, range, rapid: 20_000, maxFeed: 10_000 })
    const block = boxTriangles([0, 0, -16], [20, 8, 0]), layer = boxTriangles([0, -1, -16], [20, 2, -9]), ledge = boxTriangles([-10, 0, 30], [-6, 8, 34])
    const meshes = { block, layer: [...block, ...layer], ledge: [...block, ...layer, ...ledge] }
    for (const [name, triangles] of Object.entries(meshes)) writeFileSync(join(this.folder, `${name}.stl`), stlBytes(Float32Array.from(triangles.flat(2)), name))
    this.write('three.machine.json', JSON.stringify({
      name: 'three axes', axes: { X: axis([1, 0, 0], [-300, 300]), Y: axis([0, 1, 0], [-200, 200]), Z: axis([0, 0, 1], [-450, 50]) }, table: [], head: ['X', 'Y', 'Z'],
      home: { X: 0, Y: 0, Z: 0 }, spindle: { gauge: [0, 0, 0], axis: [0, 0, 1] },
    }))
    this.write('side.nc', this.program)
    this.write('clear.setup.json', this.sheetWith('layer.stl'))
    this.write('ledge.setup.json', this.sheetWith('ledge.stl'))
  }

  sheetWith(stock: string): string {
    const tool = { number: 1, name: 'ball 6', cutter: { shape: 'ball', DC: 6, LCF: 8 }, shank: { DCONMS: 5 }, LPR: 14, holder: [{ diameter: 20, length: 20 }, { diameter: 40, length: 10 }], NOF: 2, centreCutting: true, lengthOffset: 1 }
    return JSON.stringify({
      machine: 'three.machine.json', baseOffset: 'G54', offsets: { G54: { X: 0, Y: 0, Z: -400 } }, part: { mesh: 'block.stl', units: 'mm' }, stock: { mesh: stock, units: 'mm', pitch: 0.5 },
      limits: { gouge: 0.01, leftover: 0.2, clearance: { shank: 0.2, holder: 1, rapid: 0.5 } }, tools: [tool],
    }, undefined, 2)
  }

  write(name: string, text: string): void {
    writeFileSync(join(this.folder, name), text)
  }

  uri(name: string): string {
    return pathToFileURL(join(this.folder, name)).toString()
  }

  remove(): void {
    rmSync(this.folder, { recursive: true, force: true })
  }
}
