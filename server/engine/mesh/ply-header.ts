/** Bytes of each type of value. */
export const plySize = { int8: 1, uint8: 1, int16: 2, uint16: 2, int32: 4, uint32: 4, float32: 4, float64: 8 } as const

export type PlyType = keyof typeof plySize

export interface PlyProperty {
  readonly name: string
  readonly type: PlyType
  /** Of a list: the type of its length. */
  readonly countType?: PlyType
}

export interface PlyElement {
  readonly name: string
  readonly count: number
  readonly properties: readonly PlyProperty[]
}

export interface PlyHeader {
  readonly form: 'ascii' | 'little' | 'big'
  readonly elements: readonly PlyElement[]
  /** Where the values begin. */
  readonly end: number
}

/** Both spellings of the types. */
const types: Readonly<Record<string, PlyType>> = {
  char: 'int8', uchar: 'uint8', short: 'int16', ushort: 'uint16', int: 'int32', uint: 'uint32', float: 'float32', double: 'float64',
  int8: 'int8', uint8: 'uint8', int16: 'int16', uint16: 'uint16', int32: 'int32', uint32: 'uint32', float32: 'float32', float64: 'float64',
}

const forms: Readonly<Record<string, PlyHeader['form']>> = { ascii: 'ascii', binary_little_endian: 'little', binary_big_endian: 'big' }

/** A header has a few dozen lines; one that is longer is none. */
const LONGEST = 65_536
const MOST_PROPERTIES = 1000

export function readPlyHeader(bytes: Uint8Array): PlyHeader | { readonly failure: string } {
  const head = bytes.subarray(0, LONGEST)
  let form: PlyHeader['form'] | undefined, at = 0, properties = 0
  const elements: { name: string, count: number, properties: PlyProperty[] }[] = []
  for (let number = 1; at < head.length; number++) {
    let end = at
    while (end < head.length && head[end] !== 10 && head[end] !== 13) end++
    const text = String.fromCharCode(...head.subarray(at, Math.min(end, at + 400))).trim(), words = text.split(/\s+/)
    const fault = (what: string) => ({ failure: `cannot be read as PLY: ${what} on line ${number} of its header. Export the part again.` })
    at = head[end] === 13 && head[end + 1] === 10 ? end + 2 : end + 1
    if (words[0] === 'end_header') return form === undefined ? fault('no "format" is given before "end_header"') : { form, elements, end: at }
    if (words[0] === 'format') {
      form = forms[words[1]]
      if (form === undefined) return fault(`the format "${shown(words[1])}" is none of ascii, binary_little_endian and binary_big_endian`)
    } else if (words[0] === 'element') {
      const count = Number(words[2])
      if (!Number.isInteger(count) || count < 0 || words[2] === undefined) return fault(`"${shown(text)}" does not say a number`)
      elements.push({ name: words[1], count, properties: [] })
    } else if (words[0] === 'property') {
      const property = propertyOf(words), element = elements[elements.length - 1]
      if (property === undefined || element === undefined || ++properties > MOST_PROPERTIES) return fault(`the property "${shown(text)}" is not understood`)
      element.properties.push(property)
    } else if (!(number === 1 && words[0] === 'ply') && words[0] !== 'comment' && words[0] !== 'obj_info' && text !== '') {
      return fault(`"${shown(text)}" is not understood`)
    }
  }
  return { failure: 'is cut short or damaged: its PLY header has no end. Copy or export the file again.' }
}

function propertyOf(words: readonly string[]): PlyProperty | undefined {
  if (words[1] !== 'list') {
    const type = types[words[1]]
    return type === undefined || words[2] === undefined ? undefined : { name: words[2], type }
  }
  const countType = types[words[2]], type = types[words[3]]
  return countType === undefined || type === undefined || words[4] === undefined ? undefined : { name: words[4], type, countType }
}

function shown(text: string | undefined): string {
  return (text ?? '').slice(0, 40).replace(/[^\u0020-\u007e]/g, '?')
}
