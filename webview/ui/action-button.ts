import type { ActionName } from '../actions.ts'
import { actions, hintOf } from '../actions.ts'
import { element } from './element.ts'

/** A button that does what its key does. */
export function actionButton(name: ActionName, act: (name: ActionName) => void): HTMLButtonElement {
  const made = element('button', { text: actions[name].label, attributes: { type: 'button', title: hintOf(name), 'data-action': name } })
  made.addEventListener('click', () => act(name))
  return made
}

/** A button that stays down while what it names is shown. */
export function setPressed(button: HTMLButtonElement, isPressed: boolean): void {
  const pressed = String(isPressed)
  if (button.getAttribute('aria-pressed') !== pressed) button.setAttribute('aria-pressed', pressed)
}
