import type { ServerContext } from '../server-context.ts'

/** Hears where the user looks: searches begin there. */
export function registerLookAt({ answer, programs }: ServerContext): void {
  answer('toolwake/lookAt', ({ uri, line }) => {
    programs.get(uri)?.lookAt(line)
    return {}
  })
}
