import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { fileLinks } from '../../server/engine/setup/file-links.ts'

const linked = (text: string) => fileLinks({ path: '/job/sub/part.setup.json', text }).map(({ span, path }) => [text.slice(span.start, span.end), path])

describe('files that a sheet or machine file names', () => {
  test('machine, programs, meshes of part, fixtures, barriers and stock, and the sheet before', () => {
    expect(linked(`{ // a comment
      "machine": "../mill.machine.json", "programs": ["a.nc", "b*.nc", ""],
      "part": { "mesh": "part.stl" }, "fixtures": [{ "name": "jaw", "mesh": "/shop/jaw.stl" }], "barriers": [{ "mesh": "floor.stl" }],
      "stock": { "from": "op10.setup.json" }, "passes": [{ "from": "N10", "to": "N20" }],
    }`)).toEqual([
      ['../mill.machine.json', '/job/mill.machine.json'], ['a.nc', '/job/sub/a.nc'], ['part.stl', '/job/sub/part.stl'],
      ['/shop/jaw.stl', '/shop/jaw.stl'], ['floor.stl', '/job/sub/floor.stl'], ['op10.setup.json', '/job/sub/op10.setup.json'],
    ])
    expect(linked('{ "bodies": [{ "name": "table", "mesh": "table.stl" }] }')).toEqual([['table.stl', '/job/sub/table.stl']])
  })

  test('a text that is no sheet has none', () => {
    for (const text of ['', '{', '[]', 'null', '{ "part": null, "programs": "a.nc", "machine": 3, "fixtures": [1, [], null] }']) expect(linked(text)).toEqual([])
  })

  test('the sheet of a sample leads to files that are there', () => {
    const path = new URL('../../samples/plate/plate.setup.json', import.meta.url).pathname
    const links = fileLinks({ path, text: readFileSync(path, 'utf8') })
    expect(links.length).toBeGreaterThan(1)
    for (const link of links) expect(readFileSync(link.path).length).toBeGreaterThan(0)
  })
})
