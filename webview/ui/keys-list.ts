import type { ActionName } from '../actions.ts'
import { actions, keyText } from '../actions.ts'
import { element } from './element.ts'

const byHand: readonly (readonly [string, string])[] = [
  ['Arrows', 'Turn the view'], ['Shift+Arrows', 'Move it'], ['+  −', 'Zoom the picture, or the strip while it has the focus'], ['Tab', 'To the next control'],
]

/** What every key does, in a window over the page. */
export function keysList(): HTMLDialogElement {
  const rows = [...byHand, ...(Object.keys(actions) as ActionName[]).map(name => [keyText(actions[name].key), actions[name].says] as const)]
  const close = element('button', { text: 'Close', attributes: { type: 'button' } })
  const dialog = element('dialog', {
    class: 'keys', attributes: { 'aria-label': 'Keys on the picture' },
    children: [element('h2', { text: 'Keys on the picture' }), element('dl', { children: rows.flatMap(([key, says]) => [element('dt', { children: [element('kbd', { text: key })] }), element('dd', { text: says })]) }), close],
  })
  close.addEventListener('click', () => dialog.close())
  return dialog
}
