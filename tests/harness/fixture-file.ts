import { readFileSync, writeFileSync } from 'node:fs'

// Tests as Markdown: the heading path names the test, the fenced blocks below a heading are its
// parts. `nc` is the program (with remarks), `json` its setup sheet, `json machine` the machine
// file; every other block is a result that UPDATE=1 rewrites.

export interface FixtureBlock {
  /** First word after the fence. */
  readonly language: string
  /** What follows it on the same line. */
  readonly label: string
  readonly text: string
  /** 0-based lines of the file between the fences. */
  readonly firstLine: number
  readonly endLine: number
}

export interface FixtureTest {
  readonly name: string
  readonly blocks: readonly FixtureBlock[]
}

/** Reads the tests out of a Markdown file: one for each heading that has blocks below it. */
export function readFixture(path: string): FixtureTest[] {
  const tests: { name: string, blocks: FixtureBlock[] }[] = []
  const headings: string[] = []
  const lines = readFileSync(path, 'utf8').split('\n')
  for (let i = 0; i < lines.length; i++) {
    const heading = /^(#+)\s+(.*)$/.exec(lines[i])
    if (heading !== null) {
      headings.length = heading[1].length - 1
      headings.push(heading[2].trim())
      tests.push({ name: headings.filter(part => part !== undefined).join(' › '), blocks: [] })
      continue
    }
    const fence = /^(`{3,})(\S+)\s*(.*)$/.exec(lines[i])
    if (fence === null) continue
    const end = lines.indexOf(fence[1], i + 1)
    if (end < 0) throw new Error(`${path}:${i + 1}: a block is opened and never closed`)
    const test = tests.at(-1)
    if (test === undefined) throw new Error(`${path}:${i + 1}: a block needs a heading above it`)
    test.blocks.push({ language: fence[2], label: fence[3].trim(), text: lines.slice(i + 1, end).join('\n'), firstLine: i + 1, endLine: end })
    i = end
  }
  return tests.filter(test => test.blocks.length > 0)
}

/** The text of the one block of that language, or undefined. */
export function blockOf(test: FixtureTest, language: string, label = ''): FixtureBlock | undefined {
  return test.blocks.find(block => block.language === language && block.label === label)
}

export function isUpdating(): boolean {
  return process.env.UPDATE === '1'
}

/** Puts new results into the file; blocks are those of one reading of it. */
export function rewriteBlocks(path: string, changes: readonly { readonly block: FixtureBlock, readonly text: string }[]): void {
  if (changes.length === 0) return
  const lines = readFileSync(path, 'utf8').split('\n')
  const fromBelow = [...changes].sort((a, b) => b.block.firstLine - a.block.firstLine)
  for (const { block, text } of fromBelow) lines.splice(block.firstLine, block.endLine - block.firstLine, ...text.split('\n'))
  writeFileSync(path, lines.join('\n'))
}
