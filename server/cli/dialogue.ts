import { createInterface } from 'node:readline'

/** What came back from a question: words, the end of the input (Ctrl-D), or Ctrl-C. */
export type Said = { readonly words: string } | 'finish' | 'stop'

/** A talk with the person at the terminal, line by line. */
export interface Dialogue {
  readonly ask: (prompt: string) => Promise<Said>
  readonly close: () => void
}

/** Questions go to standard error, so that standard output stays the command's own. Undefined where nobody sits at the terminal. */
export function processDialogue(): (() => Dialogue) | undefined {
  return process.stdin.isTTY && process.stderr.isTTY ? openDialogue : undefined
}

function openDialogue(): Dialogue {
  const lines = createInterface({ input: process.stdin, output: process.stderr })
  // Lines that come before they are asked for, pasted for instance, are kept in their order.
  const heard: Said[] = []
  let settle: ((said: Said) => void) | undefined
  const hear = (said: Said) => {
    if (settle === undefined) heard.push(said)
    else settle(said)
    settle = undefined
  }
  lines.on('line', words => hear({ words }))
  lines.on('SIGINT', () => hear('stop'))
  lines.on('close', () => hear('finish'))
  return {
    ask: prompt => new Promise(resolve => {
      const said = heard.shift()
      if (said !== undefined) {
        resolve(said)
        return
      }
      settle = resolve
      lines.setPrompt(prompt)
      lines.prompt()
    }),
    close: () => lines.close(),
  }
}
