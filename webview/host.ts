import type { Port } from '../shared/protocol/channel.ts'

/** Given to the page by the editor; may be asked for once. */
declare function acquireVsCodeApi(): { postMessage(message: unknown): void }

/** The way to the extension. */
export function hostPort(): Port {
  const editor = acquireVsCodeApi()
  return {
    post: message => editor.postMessage(message),
    listen: receive => window.addEventListener('message', event => receive(event.data)),
  }
}
