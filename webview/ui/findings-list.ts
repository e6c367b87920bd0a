import type { SceneFinding } from '../../shared/protocol/scene-messages.ts'
import { acceptedWords, findingCounts, findingPlace, findingSpoken, undecided } from '../readout.ts'
import type { ViewState } from '../view-state.ts'
import { selectedFinding } from '../view-state.ts'
import { element } from './element.ts'
import { levelSign } from './level-sign.ts'

/** Beyond these the list says how many more there are; the editor's own list of problems has them all. */
const SHOWN = 400

const none: readonly SceneFinding[] = []

const gravity = { error: 0, warning: 1, note: 2 } as const

export interface FindingsEvents {
  readonly chosen: (finding: number) => void
  readonly ruleAsked: (rule: string) => void
}

/** The list of findings, gravest first. One tab stop; arrows move within it. */
export class FindingsList {
  readonly object: HTMLElement
  readonly #heading = element('h2', { text: 'Findings', attributes: { id: 'findings-heading' } })
  readonly #list = element('ul', { attributes: { role: 'listbox', tabindex: '0', 'aria-labelledby': 'findings-heading' } })
  readonly #more = element('p', { class: 'more' })
  readonly #rule = element('button', { class: 'link', attributes: { type: 'button' } })
  readonly #events: FindingsEvents
  #findings: readonly SceneFinding[] | undefined
  /** Indices of the findings in the order they are listed. */
  #order: readonly number[] = []
  #selected: number | undefined

  constructor(events: FindingsEvents) {
    this.#events = events
    this.object = element('section', { class: 'findings', children: [this.#heading, this.#list, this.#more, this.#rule] })
    this.#list.addEventListener('click', event => {
      const row = event.target instanceof Element ? event.target.closest('li') : null
      if (row !== null) this.#choose(Number(row.dataset.finding))
    })
    this.#list.addEventListener('keydown', event => this.#key(event))
    // The figures of its block come a moment later and take room from the list.
    new ResizeObserver(() => this.#list.querySelector('[aria-selected=true]')?.scrollIntoView({ block: 'nearest' })).observe(this.#list)
    this.#rule.addEventListener('click', () => {
      const finding = this.#selected === undefined ? undefined : this.#findings?.[this.#selected]
      if (finding !== undefined) this.#events.ruleAsked(finding.rule)
    })
  }

  render(state: ViewState): void {
    const findings = state.scene?.findings ?? none
    this.#heading.textContent = findingCounts(state.scene?.findings, state.status)
    if (findings !== this.#findings) {
      this.#findings = findings
      this.#fill(findings)
    }
    if (state.finding !== this.#selected || this.#list.querySelector('[aria-selected=true]') === null) this.#mark(state.finding)
    const finding = selectedFinding(state)
    this.#rule.hidden = finding === undefined
    this.#rule.textContent = finding === undefined ? '' : `About ${finding.rule}`
  }

  #fill(findings: readonly SceneFinding[]): void {
    const placed = [...findings.entries()]
    placed.sort(([a, left], [b, right]) =>
      Number(left.waiver !== undefined) - Number(right.waiver !== undefined)
      || gravity[left.level] - gravity[right.level] || left.line - right.line || a - b)
    this.#order = placed.slice(0, SHOWN).map(([index]) => index)
    this.#list.replaceChildren(...placed.slice(0, SHOWN).map(([index, finding]) => row(index, finding)))
    this.#list.hidden = findings.length === 0
    const more = findings.length - this.#order.length
    this.#more.hidden = more <= 0
    this.#more.textContent = more > 0 ? `and ${more} more in the editor's list of problems` : ''
  }

  #mark(selected: number | undefined): void {
    this.#selected = selected
    this.#list.querySelector('[aria-selected=true]')?.setAttribute('aria-selected', 'false')
    const row = selected === undefined ? null : this.#list.querySelector(`#finding-${selected}`)
    if (row === null) {
      this.#list.removeAttribute('aria-activedescendant')
      return
    }
    row.setAttribute('aria-selected', 'true')
    this.#list.setAttribute('aria-activedescendant', row.id)
    row.scrollIntoView({ block: 'nearest' })
  }

  #key(event: KeyboardEvent): void {
    const at = this.#selected === undefined ? -1 : this.#order.indexOf(this.#selected)
    const last = this.#order.length - 1
    const next = {
      ArrowDown: Math.min(last, at + 1), ArrowUp: Math.max(0, at - 1), Home: 0, End: last, Enter: Math.max(0, at), ' ': Math.max(0, at),
    }[event.key]
    const finding = next === undefined ? undefined : this.#order[next]
    if (finding === undefined) return
    event.preventDefault()
    this.#choose(finding)
  }

  #choose(finding: number): void {
    this.#events.chosen(finding)
  }
}

function row(index: number, finding: SceneFinding): HTMLElement {
  const kind = finding.waiver !== undefined ? 'waived' : finding.open === true ? 'open' : 'plain'
  const place = element('span', { class: 'place', text: findingPlace(finding) })
  const head = element('span', { class: 'head', children: [levelSign(finding.level, kind), element('span', { class: 'rule', text: finding.rule }), ' ', place] })
  // The blanks keep the words apart for whoever reads them as one text.
  const children: (HTMLElement | string)[] = [head, ' ', element('span', { class: 'message', text: finding.message })]
  if (finding.open === true) children.push(' ', element('span', { class: 'aside', text: undecided }))
  if (finding.waiver !== undefined) children.push(' ', element('span', { class: 'aside', text: acceptedWords(finding.waiver) }))
  const made = element('li', { attributes: { role: 'option', id: `finding-${index}`, 'aria-selected': 'false', 'aria-label': findingSpoken(finding) }, children })
  made.dataset.finding = String(index)
  return made
}
