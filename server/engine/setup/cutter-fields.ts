import type { Fields } from './fields.ts'

/** Says at a key that its figure does not go together with the others. */
export function clash(fields: Fields, key: string, message: string): undefined {
  fields.notes.say(fields.spanOf(key), `On ${fields.name}, ${message}.`)
  return undefined
}

/** A length in the file's own unit, without figures nobody asked for. */
export function show(fields: Fields, mm: number): string {
  return `${Number((mm / fields.notes.unit).toPrecision(6))} ${fields.notes.unitName}`
}
