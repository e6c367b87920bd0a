/** What `element` may set: attributes by name, and text. */
export interface ElementParts {
  readonly text?: string
  readonly class?: string
  readonly attributes?: Readonly<Record<string, string>>
  readonly children?: readonly (Node | string)[]
}

/** Makes an element. Text is set as text, never as markup: messages hold what a program says. */
export function element<Name extends keyof HTMLElementTagNameMap>(name: Name, parts: ElementParts = {}): HTMLElementTagNameMap[Name] {
  const made = document.createElement(name)
  if (parts.class !== undefined) made.className = parts.class
  if (parts.text !== undefined) made.textContent = parts.text
  for (const [attribute, value] of Object.entries(parts.attributes ?? {})) made.setAttribute(attribute, value)
  made.append(...parts.children ?? [])
  return made
}

const svgNamespace = 'http://www.w3.org/2000/svg'

export function svgElement(name: string, attributes: Readonly<Record<string, string>>, children: readonly Node[] = []): SVGElement {
  const made = document.createElementNS(svgNamespace, name)
  for (const [attribute, value] of Object.entries(attributes)) made.setAttribute(attribute, value)
  made.append(...children)
  return made
}
