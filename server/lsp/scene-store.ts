import { availableParallelism } from 'node:os'
import { dirname, relative, resolve, sep } from 'node:path'
import type { PoolOptions } from '../edge/contact-pool.ts'
import { readInputs, type InputOptions } from '../edge/read-inputs.ts'
import { chooseSetup, type SetupChoice } from '../edge/setup-choice.ts'
import { obstacleFilesOf, openScene } from '../engine/service.ts'
import { LoadedScene } from './loaded-scene.ts'
import type { Settings } from './settings.ts'

const MEGABYTE = 2 ** 20

/** The scenes of the open programs: each sheet is read once, however many programs it serves. */
export class SceneStore {
  readonly #roots: () => readonly string[]
  readonly #inputs: InputOptions
  readonly #scenes = new Map<string, Promise<LoadedScene>>()
  /** Key of the scene each open program uses. */
  readonly #used = new Map<string, string>()

  readonly #keptIn: () => string
  readonly #log: (sentence: string) => void

  /** `roots`: folders of the workspace, in which a sheet is looked for. `inputs`: how files that sheets name are read. `keptIn`: folder of results kept for later. */
  constructor(roots: () => readonly string[], inputs: InputOptions, keptIn: () => string, log: (sentence: string) => void) {
    this.#keptIn = keptIn
    this.#log = log
    this.#roots = roots
    this.#inputs = inputs
  }

  /** The sheet that the settings name for a program: the one chosen for it, else the one for all of its folder; undefined: none. */
  named(path: string, { setupSheet, setupSheets }: Settings): string | undefined {
    const root = this.#roots().filter(folder => path.startsWith(folder + sep)).sort((a, b) => b.length - a.length)[0] ?? dirname(path)
    const named = setupSheets[relative(root, path).split(sep).join('/')] ?? setupSheet
    return named === '' ? undefined : resolve(root, named)
  }

  /** Which sheet a program is checked with: the one that the settings name, else the one that is found. */
  choose(path: string, settings: Settings): SetupChoice {
    return chooseSetup(path, this.named(path, settings), this.#roots())
  }

  /** The sheets that would serve a program if the settings named none, the one that would be taken first. */
  serving(path: string): string[] {
    const { setupPath, otherSetups = [] } = chooseSetup(path, undefined, this.#roots())
    return setupPath === undefined ? [] : [setupPath, ...otherSetups]
  }

  /** The scene of a program. `sheet`: undefined where none belongs to it. */
  async open(uri: string, sheet: string | undefined, settings: Settings): Promise<LoadedScene> {
    const threads = settings.threads > 0 ? settings.threads : Math.max(1, availableParallelism() - 1)
    const { memoryLimit, keptResults } = settings, key = JSON.stringify([sheet, threads, memoryLimit, keptResults])
    this.#used.set(uri, key)
    this.#drop(kept => ![...this.#used.values()].includes(kept))
    let scene = this.#scenes.get(key)
    if (scene === undefined) {
      scene = this.#load(sheet, threads, {
        store: keptResults === 0 ? undefined : { folder: this.#keptIn(), limit: keptResults * MEGABYTE },
        memory: memoryLimit === 0 ? undefined : memoryLimit * MEGABYTE,
        log: this.#log,
      })
      this.#scenes.set(key, scene)
      // A fault is not kept: the next check tries again.
      scene.catch(() => this.#scenes.delete(key))
    }
    return scene
  }

  /** The program was closed. */
  release(uri: string): void {
    this.#used.delete(uri)
    this.#drop(kept => ![...this.#used.values()].includes(kept))
  }

  /** Forgets what was made from these files. True when an open program may have to be checked again. */
  async forget(paths: readonly string[]): Promise<boolean> {
    let touched = paths.some(path => path.endsWith('.setup.json'))
    for (const [key, loading] of [...this.#scenes]) {
      const scene = await loading.catch(() => undefined)
      if (scene !== undefined && !paths.some(path => scene.paths.has(path))) continue
      touched = true
      if (this.#scenes.get(key) === loading) this.#drop(one => one === key)
    }
    return touched
  }

  forgetAll(): void {
    this.#drop(() => true)
  }

  async #load(sheetPath: string | undefined, threads: number, options: PoolOptions): Promise<LoadedScene> {
    const { sheet, machine, failures } = await readInputs(sheetPath, { ...this.#inputs, withoutMesh: true })
    const scene = openScene(sheet, machine, failures)
    const texts = new Map([sheet, machine].flatMap(file => file === undefined ? [] : [[file.path, file.text] as const]))
    const part = scene.setup?.part?.path
    const paths = [...texts.keys(), ...failures.map(failure => failure.path), ...part === undefined ? [] : [part], ...obstacleFilesOf(scene).map(source => source.path)]
    return new LoadedScene(scene, sheetPath, texts, new Set(paths), threads, options, this.#inputs)
  }

  #drop(which: (key: string) => boolean): void {
    for (const [key, loading] of [...this.#scenes]) {
      if (!which(key)) continue
      this.#scenes.delete(key)
      void loading.then(scene => scene.dispose(), () => undefined)
    }
  }
}
