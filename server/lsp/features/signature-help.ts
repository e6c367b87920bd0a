import { signatureAt } from '../../engine/editor-service.ts'
import { guardQuestion } from '../guard.ts'
import { MarkupKind } from '../protocol.ts'
import type { SignatureHelp, TextDocumentPositionParams } from '../protocol.ts'
import type { ServerContext } from '../server-context.ts'

/** The words that go with a cycle, an arc, a tilted plane and the like. */
export function registerSignatureHelp({ connection, offer, log, texts }: ServerContext): void {
  offer(() => ({ signatureHelpProvider: { triggerCharacters: [' '], retriggerCharacters: [...'XYZIJKRPQLHDABCUVW'] } }))
  connection.onSignatureHelp(guardQuestion<TextDocumentPositionParams, SignatureHelp | null>('signatureHelp', log, null, ({ textDocument, position }) => {
    const program = texts.of(textDocument.uri)
    const signature = program === undefined ? undefined : signatureAt(program, position.line, position.character)
    if (signature === undefined) return null
    return {
      signatures: [{
        label: signature.label,
        // Before the first word all of them are explained; then the one in hand is.
        documentation: signature.active !== undefined ? signature.says : {
          kind: MarkupKind.Markdown, value: [signature.says, '', ...signature.words.map(({ letter, says }) => `- \`${letter}\` ${says}`)].join('\n'),
        },
        parameters: signature.words.map(({ from, to, says }) => ({ label: [from, to] as [number, number], documentation: says })),
      }],
      activeSignature: 0,
      // A place behind the last parameter: none of them is the one in hand.
      activeParameter: signature.active ?? signature.words.length,
    }
  }))
}
