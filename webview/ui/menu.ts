import { element } from './element.ts'

/** Buttons that fold out below their heading; folded again by Escape or a press elsewhere. */
export function menu(label: string, children: readonly Node[]): HTMLDetailsElement {
  const summary = element('summary', { text: label })
  const made = element('details', { class: 'menu', children: [summary, element('div', { class: 'fold', attributes: { role: 'group', 'aria-label': label }, children })] })
  made.addEventListener('keydown', event => {
    if (event.key !== 'Escape' || !made.open) return
    event.stopPropagation()
    made.open = false
    summary.focus()
  })
  document.addEventListener('pointerdown', event => {
    if (made.open && event.target instanceof Node && !made.contains(event.target)) made.open = false
  })
  return made
}
