import { sentenceOf } from '../../shared/protocol/channel.ts'
import { ErrorCodes, LSPErrorCodes, ResponseError, type CancellationToken } from './protocol.ts'

/** Where a failure of ours is written down; never to standard output, which carries the protocol. */
export type Log = (message: string) => void

/**
 * A question of the editor itself: when our answer fails, the fault is logged, the editor gets
 * `none` as for "nothing to say", and the server lives on.
 */
export function guardQuestion<Params, Result>(
  name: string, log: Log, none: Result, answer: (params: Params) => Result | Promise<Result>,
): (params: Params) => Promise<Result> {
  return async params => {
    try {
      return await answer(params)
    } catch (error) {
      log(`${name} failed: ${storyOf(error)}`)
      return none
    }
  }
}

/** One of our own requests: the asker is told in a sentence that it failed. */
export function guardRequest<Params, Result>(
  name: string, log: Log, answer: (params: Params, token: CancellationToken) => Result | Promise<Result>,
): (params: Params, token: CancellationToken) => Promise<Result | ResponseError<void>> {
  return async (params, token) => {
    try {
      return await answer(params, token)
    } catch (error) {
      // Whoever has taken the question back is not told of a failure.
      if (token.isCancellationRequested) return new ResponseError(LSPErrorCodes.RequestCancelled, 'The question was taken back.')
      log(`${name} failed: ${storyOf(error)}`)
      return new ResponseError(ErrorCodes.InternalError, `${name}: ${sentenceOf(error)}`)
    }
  }
}

/** A notification, a timer or a promise nobody waits for. */
export function guardNews<Params extends readonly unknown[]>(
  name: string, log: Log, hear: (...params: Params) => void | Promise<void>,
): (...params: Params) => void {
  return (...params) => {
    const failed = (error: unknown) => log(`${name} failed: ${storyOf(error)}`)
    try {
      const result = hear(...params)
      if (result instanceof Promise) result.catch(failed)
    } catch (error) {
      failed(error)
    }
  }
}

function storyOf(error: unknown): string {
  return error instanceof Error && error.stack !== undefined ? error.stack : String(error)
}
