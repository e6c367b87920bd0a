import type { Vector } from './sampled-clearance.ts'

/** One end point as written: words in force after a block, mm and degrees. */
export interface WrittenPose { readonly number: string, readonly line: number, readonly words: Readonly<Record<'X' | 'Y' | 'Z' | 'A' | 'C', number>> }

/** Reads the end points between the first pass and the retract: plain words only, nothing of the engine. */
export function posesOfPasses(text: string): WrittenPose[] {
  const words = { X: 0, Y: 0, Z: 0, A: 0, C: 0 }
  const poses: WrittenPose[] = []
  let inPasses = false
  text.split('\n').forEach((line, index) => {
    if (line.startsWith('(PASS')) inPasses = true
    if (line.startsWith('(RETRACT')) inPasses = false
    const number = /^N\d+/.exec(line)?.[0]
    if (number === undefined) return
    for (const [, letter, value] of line.matchAll(/([XYZAC])(-?[\d.]+)/g)) words[letter as keyof typeof words] = Number(value)
    if (inPasses) poses.push({ number, line: index + 1, words: { ...words } })
  })
  return poses
}

export function between(a: WrittenPose, b: WrittenPose, t: number): { centre: Vector, axis: Vector } {
  const mix = (letter: keyof WrittenPose['words']) => a.words[letter] + (b.words[letter] - a.words[letter]) * t
  const angleA = mix('A') * Math.PI / 180, angleC = mix('C') * Math.PI / 180
  // A under C with the signs of ISO 841: the tool axis on the part is Rz(C) Rx(A) z.
  return {
    centre: [mix('X'), mix('Y'), mix('Z')],
    axis: [Math.sin(angleA) * Math.sin(angleC), -Math.sin(angleA) * Math.cos(angleC), Math.cos(angleA)],
  }
}
