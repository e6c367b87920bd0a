import { faultOfAnswer, isAsked, suggestionOf, type SetupAnswers, type SetupQuestion } from '../../shared/setup-questions.ts'
import { printable } from './code-frame.ts'
import type { Dialogue } from './dialogue.ts'
import type { Terminal } from './terminal.ts'

const introduction = `toolwake: What the program does not show is asked now. Enter takes what stands in brackets; where nothing does, it
leaves the value to be filled in later, and so does "-". "." ends the questions; Ctrl-C ends without writing anything.
`

/** Asks one question after another; undefined where the user breaks off and wants nothing written. */
export async function askSetup(questions: readonly SetupQuestion[], dialogue: Dialogue, { errors }: Pick<Terminal, 'errors'>): Promise<SetupAnswers | undefined> {
  const answers: Record<string, string> = {}
  await errors.write(introduction)
  for (const question of questions) {
    if (!isAsked(question, answers)) continue
    const answer = await askOne(question, answers, dialogue, errors)
    if (answer === 'stop') return undefined
    if (answer === 'finish') break
    if (answer !== undefined) answers[question.key] = answer
  }
  return answers
}

/** Undefined: left for later. */
async function askOne(question: SetupQuestion, answers: SetupAnswers, dialogue: Dialogue, errors: Terminal['errors']): Promise<string | 'stop' | 'finish' | undefined> {
  const suggestion = suggestionOf(question, answers), { form, prompt, because } = question
  const choices = form.kind === 'choice' ? form.choices : []
  await errors.write(`\n${printable(prompt)}\n${choices.map(({ value, label }, i) => `  ${i + 1}  ${printable(label === value ? value : `${value}: ${label}`)}\n`).join('')}`)
  const brackets = suggestion === undefined ? '' : `[${printable(suggestion)}${because === undefined ? '' : `, ${printable(because)}`}] `
  for (;;) {
    const said = await dialogue.ask(`${brackets}> `)
    if (said === 'stop' || said === 'finish') return said
    const words = said.words.trim()
    if (words === '.') return 'finish'
    if (words === '-') return undefined
    if (words === '') return suggestion
    // A choice may be told by its place in the list.
    const written = choices[/^\d+$/.test(words) ? Number(words) - 1 : -1]?.value ?? words
    const fault = faultOfAnswer(question, written)
    if (fault === undefined) return written
    await errors.write(`${fault}\n`)
  }
}
