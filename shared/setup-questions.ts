// What is asked of a person who starts a setup sheet: plain data, so that editor and terminal ask alike.
// Answers are kept as they were written; the sheet's units hold for lengths, degrees for angles.

export interface SetupChoice {
  /** What is kept as the answer. */
  readonly value: string
  readonly label: string
}

export type AnswerForm =
  /** One of the choices, or with `free` words of one's own. */
  | { readonly kind: 'choice', readonly choices: readonly SetupChoice[], readonly free?: true }
  /** So many numbers with blanks between them, in this order, each with or without its letter. */
  | { readonly kind: 'numbers', readonly names: readonly string[], readonly above?: number, readonly from?: number, readonly below?: number }
  /** Steps of a holder from its face upward: "diameter length; diameter length". */
  | { readonly kind: 'steps' }

export interface SetupQuestion {
  /** Names the answer. */
  readonly key: string
  readonly title: string
  /** What is wanted, with its unit. */
  readonly prompt: string
  readonly form: AnswerForm
  /** An answer to begin with, and where it comes from. */
  readonly suggestion?: string
  readonly because?: string
  /** The answer to another question that serves as one to begin with. */
  readonly suggestedBy?: string
  /** Asked only where the answer to another question matches. */
  readonly when?: { readonly key: string, readonly matches: string }
}

export type SetupAnswers = Readonly<Record<string, string>>

export function isAsked({ when }: SetupQuestion, answers: SetupAnswers): boolean {
  return when === undefined || new RegExp(when.matches, 'i').test(answers[when.key] ?? '')
}

export function suggestionOf({ suggestion, suggestedBy }: SetupQuestion, answers: SetupAnswers): string | undefined {
  return suggestion ?? (suggestedBy === undefined ? undefined : answers[suggestedBy])
}

/** Why the words are no answer, as a sentence; undefined where they are one. */
export function faultOfAnswer({ form }: SetupQuestion, written: string): string | undefined {
  switch (form.kind) {
    case 'choice':
      return form.free === true && written.trim() !== '' || form.choices.some(({ value }) => value === written) ? undefined
        : `Write one of ${form.choices.map(({ value }) => value).join(', ')}.`
    case 'numbers': {
      const numbers = numbersIn(written, form.names), { names, above, from, below } = form
      const wanted = names.length === 1 ? 'a number' : `${names.length} numbers with blanks between them: ${names.join(' ')}`
      if (numbers === undefined) return `Write ${wanted}, with a point where there are decimals.`
      const isIn = numbers.every(number => (above === undefined || number > above) && (from === undefined || number >= from) && (below === undefined || number < below))
      return isIn ? undefined : `Write ${wanted}${above === undefined ? '' : `, above ${above}`}${from === undefined ? '' : `, from ${from} on`}${below === undefined ? '' : `, below ${below}`}.`
    }
    case 'steps':
      return stepsIn(written) === undefined ? 'Write the steps from the face upward as "diameter length", with ";" between them, for example 20 40; 50 20.' : undefined
    default: return form satisfies never
  }
}

/** The numbers of an answer in the order of their names; undefined where they are not all there and nothing else. */
export function numbersIn(written: string, names: readonly string[]): number[] | undefined {
  const words = written.trim().split(/\s+/)
  if (words.length !== names.length) return undefined
  const numbers = words.map((word, i) => numberIn(word.toUpperCase().startsWith(names[i]?.toUpperCase() ?? '') ? word.slice(names[i]?.length ?? 0) : word))
  return numbers.includes(undefined) ? undefined : numbers.flatMap(number => number ?? [])
}

/** Diameter and length of each step; undefined where the words say something else. */
export function stepsIn(written: string): (readonly [diameter: number, length: number])[] | undefined {
  const steps = written.split(';').map(step => numbersIn(step, ['diameter', 'length']))
  const whole = steps.flatMap(step => step?.[0] === undefined || step[1] === undefined || step[0] <= 0 || step[1] <= 0 ? [] : [[step[0], step[1]] as const])
  return whole.length === steps.length ? whole : undefined
}

/** Larger figures are a slip of the hand. */
const LARGEST = 1e6

function numberIn(word: string): number | undefined {
  if (!/^[+-]?(\d+\.?\d*|\.\d+)$/.test(word)) return undefined
  const number = Number(word)
  return Math.abs(number) <= LARGEST ? number : undefined
}
