import { copyFileSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath, pathToFileURL } from 'node:url'

const sample = fileURLToPath(new URL('../../samples/plate/', import.meta.url))

/** The plate sample in a folder of its own, where a test may change every file. */
export class PlateJob {
  readonly folder = mkdtempSync(join(tmpdir(), 'toolwake-plate-'))
  readonly program = readFileSync(join(sample, 'plate.nc'), 'utf8')
  readonly sheet = readFileSync(join(sample, 'plate.setup.json'), 'utf8').replace('../duct/', '')

  constructor() {
    copyFileSync(join(sample, '../duct/duct.machine.json'), join(this.folder, 'duct.machine.json'))
    copyFileSync(join(sample, 'plate.stl'), join(this.folder, 'plate.stl'))
    this.write('plate.setup.json', this.sheet)
    this.write('plate.nc', this.program)
  }

  /** Line of the first block that holds the text, 0-based. */
  lineOf(text: string): number {
    return this.program.split('\n').findIndex(line => line.includes(text))
  }

  uri(name: string): string {
    return pathToFileURL(join(this.folder, name)).toString()
  }

  write(name: string, text: string): void {
    writeFileSync(join(this.folder, name), text)
  }

  remove(): void {
    rmSync(this.folder, { recursive: true, force: true })
  }
}
