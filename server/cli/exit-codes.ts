/** What the process answers to whoever called it. Scripts rely on these: the numbers never change. */
export const ExitCode = {
  /** Nothing at or above the level of `--fail-on`. Not a statement that the program is safe. */
  clean: 0,
  /** Something at or above that level was found. */
  found: 1,
  /** The call, or a program it names, cannot be used: about that program nothing is known. */
  unusable: 2,
  /** A fault of ours. */
  fault: 3,
  /** Stopped with Ctrl-C: 128 plus the number of the interrupt signal, as shells have it. Nothing was reported. */
  interrupted: 130,
} as const

export type ExitCode = typeof ExitCode[keyof typeof ExitCode]
