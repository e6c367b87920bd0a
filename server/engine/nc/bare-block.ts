/** The words of a block: no comments, no blanks, no sequence number, capital letters. */
export function bareBlock(line: string): string {
  return line
    .replace(/\([^)]*(\)|$)|;.*$/g, '')
    .replace(/\s+/g, '')
    .toUpperCase()
    .replace(/^(\/\d?)?N\d+/, '$1')
}
