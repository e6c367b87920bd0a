import type { Said } from './thread-team.ts'

/** What the messages of the search's and the stock's threads are: all say by a word what they say. */
export function saidBy(message: { readonly say: string, readonly message?: string }): Said {
  switch (message.say) {
    case 'run':
    case 'progress': return { is: 'news' }
    case 'log': return { is: 'log', words: message.message ?? '' }
    case 'failed': return { is: 'fault', words: message.message ?? '' }
    default: return { is: 'answer' }
  }
}
