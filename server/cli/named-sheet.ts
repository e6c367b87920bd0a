import { resolve } from 'node:path'
import type { CheckOptions } from './arguments.ts'

/** Full path of the sheet that the call names for a program: its own, else the one for all; undefined: none. */
export function namedSheet({ setup, setupFor }: Pick<CheckOptions, 'setup' | 'setupFor'>, folder: string, program: string): string | undefined {
  const own = [...setupFor].find(([name]) => resolve(folder, name) === resolve(folder, program))?.[1] ?? setup
  return own === undefined ? undefined : resolve(folder, own)
}
