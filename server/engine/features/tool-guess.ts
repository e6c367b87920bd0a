import type { ToolUse } from './program-survey.ts'

/** What the comments of a program let one think of a tool: somebody still has to say that it is so. */
export interface ToolGuess {
  readonly shape?: string
  /** In the program's unit. */
  readonly DC?: string
  readonly RE?: string
  readonly LPR?: string
  /** The comment that says it. */
  readonly from?: string
}

const number = '\\d+\\.?\\d*|\\.\\d+'

/** Words of the trade by the shape they stand for; the first that is found counts. */
const shapes: readonly (readonly [shape: string, words: string])[] = [
  ['lollipop', 'LOLLIPOP'], ['ball', 'BALL(?:[- ]?NOSE)?(?: ?END)?(?: ?MILL)?|SPHERICAL'], ['bull', 'BULL(?:[- ]?NOSE)?(?: ?END)?(?: ?MILL)?|TORUS|TOROIDAL'],
  ['taper', 'TAPER(?:ED)?|CONICAL'], ['drill', 'DRILL'], ['flat', 'FLAT(?: ?END)?(?: ?MILL)?|END ?MILL|SQUARE'],
]

/** Reads the comments that name a tool. */
export function guessTool({ comments }: ToolUse): ToolGuess {
  for (const comment of comments) {
    const shape = shapes.find(([, words]) => new RegExp(`\\b(?:${words})\\b`, 'i').test(comment))
    if (shape === undefined) continue
    // The tool's own number is no size of it.
    const said = comment.replace(/\bT(?:OOL)?[\s.:#]*(?:N(?:O|UMBER)[\s.:#]*)?\d+/gi, ' ')
    const [name, words] = shape, found = (pattern: string) => new RegExp(pattern, 'i').exec(said)?.[1]
    // A lone D is as often the number of an offset as a diameter.
    const DC = found(`(?:Ø|\\bDIA(?:METER|M)?\\.?)\\s*=?\\s*(${number})`) ?? found(`\\b(?:${words})\\s+(${number})`) ?? found(`(?<![A-Z\\d.])(${number})\\s*(?:MM|IN(?:CH)?)?\\s+(?:${words})\\b`)
    const RE = found(`\\bR\\s*(${number})`)
    const LPR = found(`\\b(?:STICK[- ]?OUT|LPR)\\s*=?\\s*(${number})`)
    return { shape: name, ...DC === undefined ? {} : { DC }, ...RE === undefined ? {} : { RE }, ...LPR === undefined ? {} : { LPR }, from: comment }
  }
  return {}
}
