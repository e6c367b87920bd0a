import { expect, test } from 'vitest'
import { Room } from '../../webview/geometry/room.ts'

test('who asks first has room, and what only touches it covers nothing', () => {
  const room = new Room()
  expect(room.take({ x: 0, y: 0, width: 10, height: 4 })).toBe(true)
  expect(room.take({ x: 9, y: 3, width: 10, height: 4 })).toBe(false)
  expect(room.take({ x: -5, y: -5, width: 30, height: 30 })).toBe(false)
  expect(room.take({ x: 10, y: 0, width: 10, height: 4 })).toBe(true)
  // Where one was turned away, nothing has been taken.
  expect(room.take({ x: 9, y: 4, width: 10, height: 4 })).toBe(true)
})
