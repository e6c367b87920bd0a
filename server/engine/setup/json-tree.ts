import { parseTree, printParseErrorCode, type Node, type ParseError } from 'jsonc-parser'
import type { Span } from '../../../shared/span.ts'

// The one door to the JSON parser. JSON with comments and trailing commas becomes a tree of our
// own, every value with its place in the text; a text that cannot be read gives one fault.

export interface JsonMember {
  readonly key: string
  readonly keySpan: Span
  readonly value: JsonNode
}

export interface JsonObject { readonly kind: 'object', readonly span: Span, readonly members: readonly JsonMember[] }
export interface JsonArray { readonly kind: 'array', readonly span: Span, readonly items: readonly JsonNode[] }

export type JsonNode =
  | JsonObject
  | JsonArray
  | { readonly kind: 'string', readonly span: Span, readonly value: string }
  | { readonly kind: 'number', readonly span: Span, readonly value: number }
  | { readonly kind: 'boolean', readonly span: Span, readonly value: boolean }
  | { readonly kind: 'null', readonly span: Span }

export interface JsonTree {
  readonly root?: JsonNode
  /** The first place that is not JSON, in words. What follows from it is not listed. */
  readonly fault?: { readonly span: Span, readonly message: string }
}

/** Deeper than any sheet goes; the parser calls itself once a level. */
const MAX_DEPTH = 64

export function parseJson(text: string): JsonTree {
  // A byte order mark is no JSON; a blank in its place keeps every offset.
  const plain = text.startsWith('\uFEFF') ? ' ' + text.slice(1) : text
  const deep = firstTooDeep(plain)
  if (deep !== undefined) {
    return { fault: { span: { start: deep, end: deep + 1 }, message: `Brackets are nested more than ${MAX_DEPTH} deep here; no key of this file goes so deep.` } }
  }
  const errors: ParseError[] = []
  const root = parseTree(plain, errors, { allowTrailingComma: true, disallowComments: false, allowEmptyContent: true })
  const first = errors[0]
  if (first !== undefined) return { fault: faultOf(first, plain) }
  if (root === undefined) return { fault: { span: { start: 0, end: 0 }, message: 'The file is empty; it must hold one object in braces { }.' } }
  return { root: nodeOf(root) }
}

/** Offset of the first bracket beyond MAX_DEPTH, strings and comments skipped. */
function firstTooDeep(text: string): number | undefined {
  let depth = 0
  for (let i = 0; i < text.length; i++) {
    const c = text[i]
    if (c === '"') {
      i++
      while (i < text.length && text[i] !== '"' && text[i] !== '\n') i += text[i] === '\\' ? 2 : 1
    } else if (c === '/' && text[i + 1] === '/') {
      while (i < text.length && text[i] !== '\n') i++
    } else if (c === '/' && text[i + 1] === '*') {
      const end = text.indexOf('*/', i + 2)
      i = end < 0 ? text.length : end + 1
    } else if (c === '{' || c === '[') {
      if (++depth > MAX_DEPTH) return i
    } else if (c === '}' || c === ']') depth--
  }
  return undefined
}

/** The parser's names of its errors, in words. */
const faults: Readonly<Record<string, string>> = {
  InvalidSymbol: 'This is neither a number, a key or text in double quotes, true, false nor null',
  InvalidNumberFormat: 'This number cannot be read; write it like 12.5 or -3',
  PropertyNameExpected: 'A key in double quotes is wanted here',
  ValueExpected: 'A value is missing here',
  ColonExpected: 'A colon is missing after the key',
  CommaExpected: 'A comma is missing between two entries',
  CloseBraceExpected: 'A brace } is missing: an object is not closed',
  CloseBracketExpected: 'A bracket ] is missing: a list is not closed',
  EndOfFileExpected: 'The file goes on after its closing brace',
  UnexpectedEndOfComment: 'A comment begun with /* is not closed with */',
  UnexpectedEndOfString: 'A text is not closed with a double quote on its line',
  UnexpectedEndOfNumber: 'This number stops short',
  InvalidUnicode: 'After \\u four hexadecimal digits are wanted',
  InvalidEscapeCharacter: 'This character cannot follow a backslash; a backslash itself is written \\\\ (or use / in paths)',
  InvalidCharacter: 'A text holds a character that must be written with a backslash, such as a tab',
}

function faultOf(error: ParseError, text: string): { span: Span, message: string } {
  const words = faults[printParseErrorCode(error.error)] ?? 'This cannot be read as JSON'
  const start = Math.min(error.offset, text.length)
  const end = Math.min(Math.max(start, error.offset + error.length), text.length)
  const found = text.slice(start, Math.min(end, start + 24)).replace(/\s+/g, ' ').trim()
  return { span: { start, end }, message: found === '' ? `${words}.` : `${words}; found "${found}".` }
}

function nodeOf(node: Node): JsonNode {
  const span = { start: node.offset, end: node.offset + node.length }
  switch (node.type) {
    case 'object': return { kind: 'object', span, members: (node.children ?? []).flatMap(membersOf) }
    case 'array': return { kind: 'array', span, items: (node.children ?? []).map(nodeOf) }
    case 'string': return { kind: 'string', span, value: String(node.value) }
    case 'number': return { kind: 'number', span, value: Number(node.value) }
    case 'boolean': return { kind: 'boolean', span, value: node.value === true }
    case 'null':
    case 'property': return { kind: 'null', span }
  }
}

function membersOf(property: Node): JsonMember[] {
  const [key, value] = property.children ?? []
  if (key === undefined || value === undefined) return []
  return [{ key: String(key.value), keySpan: { start: key.offset, end: key.offset + key.length }, value: nodeOf(value) }]
}
