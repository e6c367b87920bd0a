import { describe, expect, test } from 'vitest'
import type { Answerer, ThreadEvents } from '../../server/edge/start-thread.ts'
import { ThreadTeam, type Said } from '../../server/edge/thread-team.ts'

interface Question { readonly id: number, readonly word: string }
interface Message { readonly id: number, readonly word: string }

/** A team whose threads are played by the test: what each was asked, and what happens to it. */
function playedTeam() {
  const threads: { readonly events: ThreadEvents<Message>, readonly asked: Question[], ended: number }[] = []
  const said: string[] = []
  const start = (_: string, events: ThreadEvents<Message>): Answerer<Question> => {
    const thread = { events, asked: [] as Question[], ended: 0 }
    threads.push(thread)
    return {
      ask: question => { thread.asked.push(question) },
      end: () => {
        thread.ended++
        return Promise.resolve()
      },
    }
  }
  const saidIn = ({ word }: Message): Said => word === 'news' ? { is: 'news' } : word.startsWith('log ') ? { is: 'log', words: word.slice(4) } : word.startsWith('fault ') ? { is: 'fault', words: word.slice(6) } : { is: 'answer' }
  const team = new ThreadTeam<Question, Message>({ script: 'thread.cjs', start, saidIn, log: sentence => said.push(sentence), ended: 'it was ended' })
  return { threads, said, team, ask: (word: string, hear?: (news: Message) => void) => team.ask(0, id => ({ id, word }), hear) }
}

describe('a team of threads', () => {
  test('answers each question with what the thread says of it, news and log on the way', async () => {
    const { threads, said, ask } = playedTeam(), news: Message[] = []
    const first = ask('one', message => news.push(message)), second = ask('two')
    const [{ events, asked }] = threads
    expect(asked.map(({ word }) => word)).toEqual(['one', 'two'])
    for (const word of ['news', 'log a sentence', 'done']) events.hear({ id: asked[0].id, word })
    events.hear({ id: asked[1].id, word: 'fault it cannot be' })
    await expect(first).resolves.toMatchObject({ word: 'done' })
    await expect(second).rejects.toThrow('it cannot be')
    expect([news.length, said]).toEqual([1, ['a sentence']])
  })

  test('fails what a thread that dies was asked, and starts another for the next question', async () => {
    const { threads, ask } = playedTeam(), lost = ask('one')
    threads[0].events.lost(new Error('out of memory'))
    await expect(lost).rejects.toThrow('out of memory')
    const next = ask('again')
    // A thread that has thrown is told to have ended as well, by when another stands in its place.
    threads[0].events.lost(new Error('a thread ended with code 1'))
    threads[1].events.hear({ id: threads[1].asked[0].id, word: 'done' })
    await expect(next).resolves.toMatchObject({ word: 'done' })
    expect(threads.length).toBe(2)
  })

  test('fails what waits when it is dismissed, and answers nothing from then on', async () => {
    const { threads, team, ask } = playedTeam(), waiting = ask('one')
    const dismissed = team.dismiss()
    await expect(waiting).rejects.toThrow('it was ended')
    await dismissed
    await expect(ask('two')).rejects.toThrow('it was ended')
    expect(threads.map(({ ended }) => ended)).toEqual([1])
  })
})
