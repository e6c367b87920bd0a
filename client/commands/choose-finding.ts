import { languages, window, type Diagnostic, type TextDocument } from 'vscode'
import { activeProgram } from './active-program.ts'

export interface ChosenFinding {
  readonly document: TextDocument
  readonly rule: string
  /** 0-based. */
  readonly line: number
}

/** The finding under the cursor; the user picks where there are several. `verb`: what is to be done with it. */
export async function chooseFinding(verb: string): Promise<ChosenFinding | undefined> {
  const document = activeProgram()
  const at = window.activeTextEditor?.selection.active
  if (document === undefined || at === undefined) return undefined
  const onLine = languages.getDiagnostics(document.uri)
    .filter(one => one.source === 'toolwake' && one.range.start.line <= at.line && one.range.end.line >= at.line)
  const under = onLine.filter(one => one.range.contains(at))
  const near = under.length > 0 ? under : onLine
  const chosen = near.length <= 1 ? near[0] : (await window.showQuickPick(
    near.map(one => ({ label: ruleIn(one), detail: one.message, one })), { placeHolder: `Which finding to ${verb}?` }))?.one
  if (chosen === undefined) {
    if (near.length === 0) void window.showInformationMessage('There is no finding on this line.')
    return undefined
  }
  return { document, rule: ruleIn(chosen), line: chosen.range.start.line }
}

function ruleIn({ code }: Diagnostic): string {
  return String(typeof code === 'object' ? code.value : code)
}
