import { stlBytes } from '../../samples/stl-bytes.ts'
import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { PlateJob } from './plate-job.ts'

/**
 * The plate with a stop across it, and a path that has to end there. A gouge lies farther on. Ending the path leaves uncut what lies beyond the stop,
 * and another tool comes down there at rapid in `rapid`.
 */
export class PlateWithStop extends PlateJob {
  readonly path: string
  readonly rapid: string

  constructor() {
    super()
    const steps = Array.from({ length: 12 }, (_, i) => `N${1060 + i} X${(19.9 - i / 10).toFixed(1)}`).join('\n')
    this.path = this.program.replace('N100 X45. F800.\nN110 Y10.5\nN120 X20.\n', `N100 X20. F800.\nN102 X26.\nN104 Y12.\nN106 X20.\n${steps}\n`)
    this.rapid = this.path.replace('N180 G53 G0 Z0.\n', 'N180 G53 G0 Z0.\nN300 T2 M6\nN310 S8000 M3 M8\nN320 G0 X26. Y11.\nN330 G43 H2 Z20.\nN340 Z.3\nN350 Z20. M9\nN360 G49 M5\nN370 G53 G0 Z0.\n')
    writeFileSync(join(this.folder, 'stop.stl'), stlBytes(Float32Array.of(24, -10, -5, 24, 50, -5, 24, 50, 5, 24, -10, -5, 24, 50, 5, 24, -10, 5), 'stop'))
  }

  /** The plate's sheet with the stop, a thin second tool and what else it shall ask for. */
  sheetWith(limits: string, more = ''): string {
    const thin = '{ "number": 2, "name": "ball 2", "cutter": { "shape": "ball", "DC": 2, "LCF": 4 }, "LPR": 30, "NOF": 2, "centreCutting": true, "point": "tip", "lengthOffset": 2 },'
    return this.sheet.replace('"limits": { "gouge": 0.01 }', `"barriers": [{ "name": "stop", "mesh": "stop.stl" }],\n  ${more}"limits": { "gouge": 0.01, "clearance": { "rapid": 0.1 }${limits} }`).replace('"tools": [', `"tools": [${thin}`)
  }
}
