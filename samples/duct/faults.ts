/** The edits that turn the clean program into the one with faults: one word or so in one block each. */
export interface Fault {
  readonly block: string
  readonly from: string
  readonly to: string
  /** The rule that must find it. */
  readonly rule: string
}

export const faults: readonly Fault[] = [
  // The feed of the way down into the throat is gone; the next block has its own again.
  { block: 'N100', from: 'Z-8.054 F1500.', to: 'Z-8.054', rule: 'missing-feed' },
  // An 8 read as a 5: the shank leans against the lip.
  { block: 'N10690', from: 'A-18.626', to: 'A-15.626', rule: 'shank-contact' },
  // A 7 read as a 5 deep down, where the holder has come into the mouth.
  { block: 'N17000', from: 'A-17.929', to: 'A-15.929', rule: 'holder-clearance' },
  // Three hundredths more, to take out a mark.
  { block: 'N23780', from: 'Y-13.977', to: 'Y-14.007', rule: 'gouge' },
  // A 3 read as an 8.
  { block: 'N30280', from: 'A-23.393', to: 'A-28.393', rule: 'rotary-swing' },
  // The point is gone; this control reads the same length, another would read nine thousandths.
  { block: 'N52380', from: 'X9.', to: 'X9', rule: 'missing-decimal-point' },
]

/** Applies the edits. A block or word that is not there is a mistake of this file's. */
export function editProgram(clean: string): string {
  const lines = clean.split('\n')
  for (const { block, from, to } of faults) {
    const index = lines.findIndex(line => line.startsWith(`${block} `))
    const line = lines[index]
    if (line === undefined || !`${line} `.includes(` ${from} `)) throw new Error(`${block} does not hold ${from}: ${line ?? 'no such block'}`)
    lines[index] = `${line} `.replace(` ${from} `, ` ${to} `).trimEnd()
  }
  return lines.join('\n')
}
