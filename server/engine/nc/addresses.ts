// What each letter of a word means: the address letters of ISO 6983-1, and where the standard leaves
// one free (H, L, O) the meaning it has in the trade.

/** What the number behind a letter counts. */
export type Quantity = 'code' | 'length' | 'angle' | 'length-or-angle' | 'feed' | 'speed' | 'count' | 'number'

export interface Address {
  readonly letter: string
  readonly meaning: string
  readonly quantity: Quantity
}

export const addresses: readonly Address[] = [
  { letter: 'A', meaning: 'angle about X', quantity: 'angle' },
  { letter: 'B', meaning: 'angle about Y', quantity: 'angle' },
  { letter: 'C', meaning: 'angle about Z', quantity: 'angle' },
  { letter: 'D', meaning: 'second tool function: number of the radius offset', quantity: 'count' },
  { letter: 'F', meaning: 'feed', quantity: 'feed' },
  { letter: 'G', meaning: 'preparatory function', quantity: 'code' },
  { letter: 'H', meaning: 'number of the length offset', quantity: 'count' },
  { letter: 'I', meaning: 'arc centre along X', quantity: 'length' },
  { letter: 'J', meaning: 'arc centre along Y', quantity: 'length' },
  { letter: 'K', meaning: 'arc centre along Z', quantity: 'length' },
  { letter: 'L', meaning: 'how often', quantity: 'count' },
  { letter: 'M', meaning: 'miscellaneous function', quantity: 'code' },
  { letter: 'N', meaning: 'sequence number', quantity: 'count' },
  { letter: 'O', meaning: 'program number', quantity: 'count' },
  { letter: 'P', meaning: 'parameter: dwell time, program called', quantity: 'number' },
  { letter: 'Q', meaning: 'parameter: depth of a peck', quantity: 'length' },
  { letter: 'R', meaning: 'radius of an arc, or the level a cycle starts from', quantity: 'length' },
  { letter: 'S', meaning: 'spindle speed', quantity: 'speed' },
  { letter: 'T', meaning: 'tool', quantity: 'count' },
  { letter: 'U', meaning: 'second axis parallel to X', quantity: 'length' },
  { letter: 'V', meaning: 'second axis parallel to Y', quantity: 'length' },
  { letter: 'W', meaning: 'second axis parallel to Z', quantity: 'length' },
  { letter: 'X', meaning: 'position along X', quantity: 'length' },
  { letter: 'Y', meaning: 'position along Y', quantity: 'length' },
  { letter: 'Z', meaning: 'position along Z', quantity: 'length' },
]

/** Letters that name an axis when the machine has it. */
export const axisLetters = 'XYZABCUVW'

/** The address of a letter code, or undefined: E has no meaning on a milling machine. */
export function addressOf(letterCode: number): Address | undefined {
  return byCode[letterCode]
}

/** Whether a number without a point counts least increments, on controls that read it so. */
export function countsIncrements(letterCode: number): boolean {
  const quantity = byCode[letterCode]?.quantity
  return quantity === 'length' || quantity === 'angle'
}

const byCode: (Address | undefined)[] = []
for (const address of addresses) byCode[address.letter.charCodeAt(0)] = address
