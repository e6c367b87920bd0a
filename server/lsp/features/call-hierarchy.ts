import { callEndAt, callsFrom, callsTo, type CallEnd } from '../../engine/editor-service.ts'
import { uriOf } from '../document-path.ts'
import { guardQuestion } from '../guard.ts'
import { SymbolKind } from '../protocol.ts'
import type { CallHierarchyIncomingCall, CallHierarchyItem, CallHierarchyOutgoingCall, TextDocumentPositionParams } from '../protocol.ts'
import { rangeOfPlace, type LiveProgram } from '../program-texts.ts'
import type { ServerContext } from '../server-context.ts'

interface OfItem { readonly item: CallHierarchyItem }

/** Which programs call which. Programs in files of their own are shown; what they call is known once they are open. */
export function registerCallHierarchy({ connection, offer, log, texts }: ServerContext): void {
  offer(() => ({ callHierarchyProvider: true }))
  const { callHierarchy } = connection.languages
  callHierarchy.onPrepare(guardQuestion<TextDocumentPositionParams, CallHierarchyItem[] | null>('callHierarchy', log, null, ({ textDocument: { uri }, position }) => {
    const program = texts.of(uri)
    return program === undefined ? null : [itemOf(uri, callEndAt(program, position.line, position.character, program.findProgram))]
  }))
  callHierarchy.onIncomingCalls(guardQuestion<OfItem, CallHierarchyIncomingCall[]>('incomingCalls', log, [], ({ item }) => {
    const { uri, number, program } = askedBy(item)
    if (program === undefined || number === undefined) return []
    return callsTo(program, number, program.findProgram).map(({ from, places }) => ({ from: itemOf(uri, from), fromRanges: places.map(rangeOfPlace) }))
  }))
  callHierarchy.onOutgoingCalls(guardQuestion<OfItem, CallHierarchyOutgoingCall[]>('outgoingCalls', log, [], ({ item }) => {
    const { uri, number, program } = askedBy(item)
    if (program === undefined) return []
    return callsFrom(program, number, program.findProgram).map(({ to, places }) => ({ to: itemOf(uri, to), fromRanges: places.map(rangeOfPlace) }))
  }))

  function askedBy(item: CallHierarchyItem): { readonly uri: string, readonly number: number | undefined, readonly program: LiveProgram | undefined } {
    const { uri, number } = item.data as { readonly uri: string, readonly number?: number }
    return { uri, number, program: texts.of(uri) }
  }
}

/** `uri`: the text from which the calls are seen. */
function itemOf(uri: string, { name, number, place, last, path }: CallEnd): CallHierarchyItem {
  const start = { line: place?.line ?? 0, character: 0 }
  return {
    name, kind: SymbolKind.Module, uri: path === undefined ? uri : uriOf(path),
    range: { start, end: { line: Math.max(start.line, last), character: 0 } }, selectionRange: { start, end: start },
    data: { uri, number },
  }
}
