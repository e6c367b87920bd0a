import { window, type QuickPickItem } from 'vscode'
import { faultOfAnswer, isAsked, suggestionOf, type SetupAnswers, type SetupQuestion } from '../../shared/setup-questions.ts'

interface AnswerItem extends QuickPickItem {
  readonly answer?: string
  /** Left to be filled in. */
  readonly isLeft?: true
  /** Words of one's own are asked for next. */
  readonly isFree?: true
}

/**
 * Asks one question after another. Whoever breaks off keeps what was answered; undefined where nothing has been begun.
 * In a box the empty answer leaves the value to be filled in.
 */
export async function askSetup(questions: readonly SetupQuestion[]): Promise<SetupAnswers | undefined> {
  const how = await window.showQuickPick([
    { label: 'Answer Questions First', detail: 'Escape ends them at any time; what is not answered is left to be filled in.', isAsked: true },
    { label: 'Start with Blanks', detail: 'Every value that only people know is left to be filled in.', isAsked: false },
  ], { title: 'Start a Setup Sheet', placeHolder: 'How shall the sheet begin?', ignoreFocusOut: true })
  if (how === undefined) return undefined
  const answers: Record<string, string> = {}
  if (!how.isAsked) return answers
  for (const question of questions) {
    if (!isAsked(question, answers)) continue
    const answer = await askOne(question, suggestionOf(question, answers))
    if (answer === undefined) break
    if (answer !== '') answers[question.key] = answer
  }
  return answers
}

/** Empty: left for later. Undefined: the questions are over. */
async function askOne(question: SetupQuestion, suggestion: string | undefined): Promise<string | undefined> {
  const { form, title, prompt } = question
  if (form.kind !== 'choice') return askWords(question, suggestion)
  const listed = form.choices.toSorted((a, b) => Number(b.value === suggestion) - Number(a.value === suggestion))
  const chosen = await window.showQuickPick<AnswerItem>([
    ...listed.map(({ value, label }): AnswerItem => ({ label, description: value === suggestion ? question.because : undefined, answer: value })),
    ...form.free === true ? [{ label: 'Another File…', isFree: true as const }] : [],
    { label: 'Leave It for Later', isLeft: true },
  ], { title, placeHolder: prompt, ignoreFocusOut: true })
  if (chosen?.isFree === true) return askWords(question, undefined)
  return chosen?.isLeft === true ? '' : chosen?.answer
}

function askWords(question: SetupQuestion, suggestion: string | undefined): Thenable<string | undefined> {
  const { title, prompt, because } = question
  return window.showInputBox({
    title, value: suggestion, ignoreFocusOut: true,
    prompt: `${prompt}${suggestion === undefined || because === undefined ? '' : ` (${because})`} Left empty, it is to be filled in later.`,
    validateInput: words => words.trim() === '' ? undefined : faultOfAnswer(question, words),
  })
}
