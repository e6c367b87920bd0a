/** Why a program's contact search was spared; the ends of sentences. */
export const spareWords = {
  off: 'the setting toolwake.contact.search is "off"',
  untilSaved: 'the setting toolwake.contact.search waits until the program is saved',
  noSheet: 'no setup sheet belongs to the program',
  unusable: 'the setup sheet or the machine file has to be mended first',
  noPart: 'the setup sheet names no part',
  noMesh: 'the part\'s mesh cannot be used',
} as const

/** 5000 as "5,000", in every language alike. */
export function countText(count: number): string {
  return count.toLocaleString('en-US')
}

export function blocksText(count: number): string {
  return count === 1 ? '1 block' : `${countText(count)} blocks`
}
