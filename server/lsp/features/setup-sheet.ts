import { basename, dirname } from 'node:path'
import { faultOfAnswer } from '../../../shared/setup-questions.ts'
import { filesForSheet } from '../../edge/sheet-files.ts'
import { startSetup } from '../../engine/service.ts'
import { pathOf } from '../document-path.ts'
import type { ServerContext } from '../server-context.ts'

/** Which setup sheet a program is checked with, and one to begin with where there is none. */
export function registerSetupSheet({ answer, client, readingOf, scenes }: ServerContext): void {
  answer('toolwake/setupSheet', async ({ uri }) => {
    const path = pathOf(uri)
    return { path: (await readingOf(uri)).scene.sheetPath, serving: path === undefined ? [] : scenes.serving(path) }
  })
  const startOf = async (uri: string) => {
    const { program, called } = await readingOf(uri), path = pathOf(uri)
    // The sheet lies beside the program; one that lies nowhere is named once it does.
    const name = path === undefined ? 'PROGRAM.nc' : basename(path)
    return startSetup({ path: program.path, text: program.text }, name, path === undefined ? { machines: [], meshes: [] } : filesForSheet(dirname(path), client.roots), called === undefined ? {} : { programs: number => called.find(number) })
  }
  answer('toolwake/setupQuestions', async ({ uri }) => ({ questions: (await startOf(uri)).questions }))
  answer('toolwake/draftSetup', async ({ uri, answers = {} }) => {
    const start = await startOf(uri)
    // What comes over the wire is held against the questions again.
    return start.draft(Object.fromEntries(start.questions.flatMap(question => {
      const given: unknown = answers[question.key]
      return typeof given === 'string' && faultOfAnswer(question, given) === undefined ? [[question.key, given]] : []
    })))
  })
}
