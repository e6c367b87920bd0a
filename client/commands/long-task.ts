import { ProgressLocation, window, type CancellationToken } from 'vscode'
import type { ServerEvents } from '../../shared/protocol/server-messages.ts'
import type { ServerLink } from '../server-link.ts'

/** News of the server about how far something is, 0..1. */
type ProgressNews = { readonly [Name in keyof ServerEvents]: ServerEvents[Name] extends { readonly uri: string, readonly share: number } ? Name : never }[keyof ServerEvents]

/** Shows how far the server is with a program and lets the user stop it; undefined where that was done. */
export async function longTask<Answer>(
  server: ServerLink, title: string, news: ProgressNews, uri: string, ask: (token: CancellationToken) => Promise<Answer>,
): Promise<Answer | undefined> {
  return window.withProgress({ location: ProgressLocation.Notification, title, cancellable: true }, async (progress, token) => {
    let told = 0
    const hearing = server.hear(news, ({ uri: about, share }) => {
      if (about !== uri) return
      progress.report({ message: `${Math.floor(share * 100)} %`, increment: Math.max(0, share * 100 - told) })
      told = Math.max(told, share * 100)
    })
    try {
      return await ask(token)
    } catch (error) {
      if (token.isCancellationRequested) return undefined
      throw error
    } finally {
      hearing.dispose()
    }
  })
}
