import { readFileSync } from 'node:fs'
import { Ajv } from 'ajv'

// The published schema of SARIF 2.1.0. It is written in draft-04, of which it uses nothing that
// draft-07 reads otherwise, except the name of its own identifier.

const published = JSON.parse(readFileSync(new URL('data/sarif-2.1.0-rtm.5.json', import.meta.url), 'utf8')) as Record<string, unknown>
const schema = Object.fromEntries(Object.entries(published).filter(([key]) => key !== '$schema' && key !== 'id'))

const ajv = new Ajv({
  strict: false,
  allErrors: true,
  // A pattern of the schema is written for expressions without the Unicode flag.
  unicodeRegExp: false,
  formats: { 'uri': isUri, 'uri-reference': isUriReference, 'date-time': isDateTime },
})
const matches = ajv.compile(schema)

/** What the schema has against a log; empty when nothing. */
export function schemaFaults(log: unknown): string[] {
  return matches(log) ? [] : (matches.errors ?? []).map(fault => `${fault.instancePath}: ${fault.message}`)
}

function isUri(text: string): boolean {
  return URL.canParse(text)
}

/** RFC 3986: only its characters, and a percent sign only before two hexadecimal digits. */
function isUriReference(text: string): boolean {
  return /^(?:[A-Za-z0-9\-._~:/?#[\]@!$&'()*+,;=]|%[0-9A-Fa-f]{2})*$/.test(text)
}

function isDateTime(text: string): boolean {
  return !Number.isNaN(Date.parse(text))
}
