import type { ServerContext } from '../server-context.ts'

/** Forgets every file that was read and checks all open programs anew. */
export function registerCheckAgain({ answer, scenes, checkAll }: ServerContext): void {
  answer('toolwake/checkAgain', () => {
    scenes.forgetAll()
    checkAll()
    return {}
  })
}
