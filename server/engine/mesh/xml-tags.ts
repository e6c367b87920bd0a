import { numberAt } from './read-ascii-stl.ts'
import { Unreadable } from './unreadable.ts'
import { textOf } from './zip-archive.ts'

const LESS = 60, MORE = 62, SLASH = 47, EQUALS = 61, SPACE = 32, COLON = 58, QUOTE = 34, APOSTROPHE = 39

const MOST_ATTRIBUTES = 100

/**
 * The tags of an XML file one after the other, without a tree: a model has millions. Text between
 * tags is passed over, and there are no entities to expand, since a document type is refused.
 */
export class XmlTags {
  /** Of the last tag: `</name>` closes, `<name/>` is both. */
  closes = false
  isEmpty = false
  readonly #bytes: Uint8Array
  #at = 0
  #nameStart = 0
  #nameEnd = 0
  /** Four places an attribute: name and value, each from and to. */
  readonly #attributes = new Int32Array(4 * MOST_ATTRIBUTES)
  #attributeCount = 0

  constructor(bytes: Uint8Array) {
    this.#bytes = bytes
    if ((bytes[0] === 0xff && bytes[1] === 0xfe) || (bytes[0] === 0xfe && bytes[1] === 0xff) || bytes[1] === 0) {
      throw new Unreadable('holds XML in UTF-16, which is not read. Export the part again in UTF-8.')
    }
  }

  /** Goes to the next tag; false at the end. */
  next(): boolean {
    const bytes = this.#bytes
    for (;;) {
      const open = bytes.indexOf(LESS, this.#at)
      if (open < 0) return false
      this.#at = open + 1
      if (this.#isAt('!--')) this.#skipTo('-->')
      else if (this.#isAt('?')) this.#skipTo('?>')
      else if (this.#isAt('![CDATA[')) this.#skipTo(']]>')
      else if (this.#isAt('!')) throw new Unreadable('holds XML with a document type, which is not read. Export the part again.')
      else {
        this.#tag()
        return true
      }
    }
  }

  /** Whether the tag has this name, whatever its prefix. */
  is(name: string): boolean {
    return sameText(this.#bytes, this.#nameStart, this.#nameEnd, name)
  }

  /** The text of an attribute, whatever its prefix. */
  text(name: string): string | undefined {
    const at = this.#find(name)
    return at < 0 ? undefined : textOf(this.#bytes.subarray(this.#attributes[at + 2], this.#attributes[at + 3]))
  }

  /** NaN where it stands for none. */
  number(name: string): number {
    const at = this.#find(name)
    if (at < 0) throw this.#damaged(`has no "${name}"`)
    const value = numberAt(this.#bytes, this.#attributes[at + 2], this.#attributes[at + 3])
    if (value === undefined) throw this.#damaged(`has no number for "${name}"`)
    return value
  }

  #damaged(what: string): Unreadable {
    const tag = String.fromCharCode(...this.#bytes.subarray(this.#nameStart, Math.min(this.#nameEnd, this.#nameStart + 40))).replace(/[^\u0020-\u007e]/g, '?')
    return new Unreadable(`cannot be read as 3MF: a "${tag}" in it ${what}. Export the part again.`)
  }

  #tag(): void {
    const bytes = this.#bytes, length = bytes.length
    let at = this.#at
    this.closes = bytes[at] === SLASH
    if (this.closes) at++
    this.isEmpty = false
    this.#attributeCount = 0
    this.#nameStart = at
    while (at < length && bytes[at] > SPACE && bytes[at] !== MORE && bytes[at] !== SLASH) {
      if (bytes[at] === COLON) this.#nameStart = at + 1
      at++
    }
    this.#nameEnd = at
    for (;;) {
      while (at < length && (bytes[at] <= SPACE || bytes[at] === SLASH)) {
        if (bytes[at] === SLASH) this.isEmpty = true
        at++
      }
      if (at >= length) throw cutShort()
      if (bytes[at] === MORE) {
        this.#at = at + 1
        return
      }
      let nameStart = at
      while (at < length && bytes[at] > SPACE && bytes[at] !== EQUALS && bytes[at] !== MORE && bytes[at] !== SLASH) {
        if (bytes[at] === COLON) nameStart = at + 1
        at++
      }
      const nameEnd = at
      while (at < length && bytes[at] <= SPACE) at++
      if (bytes[at] !== EQUALS) throw at >= length ? cutShort() : this.#damaged('has an attribute without a value')
      at++
      while (at < length && bytes[at] <= SPACE) at++
      const quote = bytes[at]
      if (quote !== QUOTE && quote !== APOSTROPHE) throw at >= length ? cutShort() : this.#damaged('has an attribute without quotes')
      const end = bytes.indexOf(quote, at + 1)
      if (end < 0) throw cutShort()
      if (this.#attributeCount === MOST_ATTRIBUTES) throw this.#damaged(`has more than ${MOST_ATTRIBUTES} attributes`)
      this.#attributes.set([nameStart, nameEnd, at + 1, end], 4 * this.#attributeCount++)
      at = end + 1
    }
  }

  #find(name: string): number {
    for (let i = 0; i < this.#attributeCount; i++) if (sameText(this.#bytes, this.#attributes[4 * i], this.#attributes[4 * i + 1], name)) return 4 * i
    return -1
  }

  #isAt(text: string): boolean {
    return sameText(this.#bytes, this.#at, this.#at + text.length, text)
  }

  #skipTo(end: string): void {
    const bytes = this.#bytes, last = end.charCodeAt(end.length - 1)
    for (let at = this.#at; ;) {
      at = bytes.indexOf(last, at)
      if (at < 0) throw cutShort()
      at++
      if (at - end.length >= this.#at && sameText(bytes, at - end.length, at, end)) {
        this.#at = at
        return
      }
    }
  }
}

function cutShort(): Unreadable {
  return new Unreadable('is damaged: the XML in it ends in the middle of a tag. Copy or export the file again.')
}

function sameText(bytes: Uint8Array, start: number, end: number, text: string): boolean {
  if (end - start !== text.length) return false
  for (let i = 0; i < text.length; i++) if (bytes[start + i] !== text.charCodeAt(i)) return false
  return true
}
