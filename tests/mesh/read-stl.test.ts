import { describe, expect, it } from 'vitest'
import { numberAt } from '../../server/engine/mesh/read-ascii-stl.ts'
import { readStl } from '../../server/engine/mesh/read-stl.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { asciiStl, binaryStl, box, bytesOf } from './bodies.ts'

const cube = box([10, 20, 30])

/** One problem of the rule, or none. */
function said(bytes: Uint8Array): string[] {
  return readStl(bytes, 'part.stl').problems.map(problem => `${problem.rule}: ${problem.message}`)
}

describe('binary', () => {
  it('a box of 12 facets is 684 bytes and comes back as it was', () => {
    const bytes = binaryStl(cube)
    expect(bytes.length).toBe(684)
    expect(readStl(bytes, 'part.stl')).toEqual({ corners: cube, problems: [] })
  })

  it('goes by the size, not by the word: a header may begin with "solid"', () => {
    expect(readStl(binaryStl(cube, 'solid facet normal'), 'part.stl').corners).toEqual(cube)
  })

  it('reads bytes that lie anywhere in a larger buffer', () => {
    const bytes = binaryStl(cube), shifted = new Uint8Array(bytes.length + 7)
    shifted.set(bytes, 3)
    expect(readStl(shifted.subarray(3, 3 + bytes.length), 'part.stl').corners).toEqual(cube)
  })

  it('makes one zero of two', () => {
    const { corners } = readStl(binaryStl([-0, 0, 0, 1, -0, 0, 0, 1, 0]), 'part.stl')
    expect([...corners ?? []].every(value => !Object.is(value, -0))).toBe(true)
  })

  it.each([[NaN, 1], [Infinity, 1], [-Infinity, 2]])('leaves out facets with %d and counts them', (value, facets) => {
    const spoilt = cube.slice()
    for (let i = 0; i < facets; i++) spoilt[9 * (3 + i) + 4] = value
    const { corners, problems } = readStl(binaryStl(spoilt), 'part.stl')
    expect(corners?.length).toBe(9 * (12 - facets))
    expect([...corners ?? []].every(Number.isFinite)).toBe(true)
    expect(problems.map(problem => [problem.rule, problem.message])).toEqual([['mesh-damaged', expect.stringContaining(`part.stl: ${facets} ${facets === 1 ? 'facet' : 'facets'} of 12 left out`)]])
  })

  it('does not lose a facet of infinities that cancel', () => {
    const spoilt = cube.slice()
    spoilt[0] = Infinity
    spoilt[1] = -Infinity
    expect(readStl(binaryStl(spoilt), 'part.stl').corners?.length).toBe(9 * 11)
  })

  it('takes the largest float32, which is finite', () => {
    const huge = cube.map(() => 3.4028234663852886e38)
    expect(readStl(binaryStl(huge), 'part.stl').corners?.length).toBe(cube.length)
  })
})

function counted(count: number, size: number, header = ''): Uint8Array {
  const bytes = new Uint8Array(size).fill(7)
  bytes.fill(0, 0, 80)
  bytes.set(bytesOf(header))
  if (size >= 84) new DataView(bytes.buffer).setUint32(80, count, true)
  return bytes
}

describe('a file that cannot be used says why, and what to do', () => {
  it.each<[string, Uint8Array, string]>([
    ['empty', new Uint8Array(0), 'is empty. Export the part again as STL.'],
    ['three bytes', bytesOf('abc'), 'has 3 bytes; an STL file has at least 84'],
    ['no facets', binaryStl([]), 'holds no facets; there is nothing to check against'],
    ['text without facets', bytesOf('solid a\nendsolid a\n'), 'holds no facets'],
    ['only NaN', binaryStl(cube.map(() => NaN)), 'holds 12 facets, none of which has numbers for all its corners'],
    ['cut short', binaryStl(cube).subarray(0, 500), 'is cut short or not STL: its header says 12 facets, which take 684 bytes, but the file has 500 (room for 8)'],
    ['a huge count', counted(0xffffffff, 184), 'is cut short or not STL: its header says 4,294,967,295 facets, which take 214,748,364,834 bytes'],
    ['too small a count', counted(1, 84 + 50 * 30), 'cannot be read as STL: its header says 1 facet, which take 134 bytes, but the file has 1,584 (room for 30)'],
    ['no count', counted(0, 84 + 50 * 30), 'cannot be read as STL: its header says 0 facets'],
    ['a packed model', bytesOf('PK\u0003\u0004' + ' '.repeat(200)), 'is a packed file (a 3MF model or a zip archive), not STL'],
    ['a PLY model', bytesOf('ply\nformat ascii 1.0\n' + ' '.repeat(200)), 'is a PLY model, not STL'],
    ['a STEP model', bytesOf('ISO-10303-21;\nHEADER;' + ' '.repeat(200)), 'is a STEP model'],
    ['an OBJ model', bytesOf('# made\nv 1 2 3\nv 2 3 4\n' + ' '.repeat(200)), 'is an OBJ model'],
    ['a program', bytesOf('%\nO0001\nG90 G17\n' + ' '.repeat(200)), 'is a machine program'],
    ['four corners', bytesOf(asciiStl(cube).replace('    endloop', '      vertex 1 2 3\n    endloop')), 'has a facet with more than three corners on line 7'],
    ['two corners', bytesOf(asciiStl(cube).replace(/ +vertex.*\n/, '')), 'cannot be read as text STL: "endloop" on line 6 where "vertex" belongs'],
    ['decimal commas', bytesOf(asciiStl([0.5, 1, 1, 2, 2, 2, 3, 3, 4]).replaceAll('0.5', '0,5')), 'writes its numbers with a comma ("0,5" on line 4); STL needs a decimal point'],
    ['a word for a number', bytesOf(asciiStl(cube).replace('vertex 0', 'vertex zero')), 'cannot be read as text STL: "zero" on line 4 is not a number'],
    ['text cut short in a number', bytesOf(asciiStl(cube).slice(0, 110)), 'ends in the middle of a facet on line 6: it was cut short'],
    ['text cut short in a word', bytesOf(asciiStl(cube).slice(0, asciiStl(cube).indexOf('endfacet') + 5)), 'ends in the middle of a facet on line 8: it was cut short'],
    ['text of another kind', bytesOf('solid a\nthis is no facet\n' + ' '.repeat(100)), 'cannot be read as text STL: "this" on line 2 where "facet" belongs'],
  ])('%s', (_, bytes, why) => {
    const { corners, problems } = readStl(bytes, 'part.stl')
    expect(corners).toBeUndefined()
    expect(problems.map(problem => problem.rule)).toEqual(['mesh-unreadable'])
    expect(problems[0].message).toContain(`part.stl ${why}`)
    expect(problems[0].message).toMatch(/(xport|Copy)/)
  })

  it('50 MB of one line', () => {
    const bytes = new Uint8Array(50_000_000).fill(88)
    expect(said(bytes).length).toBe(1)
    bytes.set(bytesOf('solid '))
    expect(said(bytes)).toEqual(['mesh-unreadable: part.stl holds no facets; there is nothing to check against. Export the part again.'])
  })
})

describe('bytes behind the last facet', () => {
  it.each([['one', 1, 7], ['forty-nine', 49, 7], ['a page of zeros', 4096, 0]])('%s are left out and said', (_, size, fill) => {
    const bytes = new Uint8Array(684 + size).fill(fill)
    bytes.set(binaryStl(cube))
    const { corners, problems } = readStl(bytes, 'part.stl')
    expect(corners).toEqual(cube)
    expect(problems.map(problem => [problem.rule, problem.message])).toEqual([['mesh-damaged', expect.stringContaining('behind its last facet')]])
  })
})

describe('text', () => {
  it('reads the same body as the binary form', () => {
    expect(readStl(bytesOf(asciiStl(cube)), 'part.stl')).toEqual({ corners: cube, problems: [] })
  })

  it.each<[string, (text: string) => string]>([
    ['in capitals', text => text.toUpperCase()],
    ['with Windows line ends', text => text.replaceAll('\n', '\r\n')],
    ['with old Macintosh line ends', text => text.replaceAll('\n', '\r')],
    ['on one line', text => text.replaceAll('\n', ' ')],
    ['with tabs', text => text.replaceAll(' ', '\t')],
    ['with a byte order mark', text => '\uFEFF' + text],
    ['with blank lines before', text => '\n\n  ' + text],
    ['without a name', text => text.replaceAll(' made for a test', '')],
    ['with a name that sounds like a facet', text => text.replaceAll('made for', 'facet for')],
    ['with rubbish for normals', text => text.replaceAll('normal 0 0 0', 'normal nan -nan(ind) 1,5')],
    ['without normals', text => text.replaceAll(' normal 0 0 0', '')],
    ['with exponents', text => text.replaceAll(' 10 ', ' 1.0e+1 ').replaceAll(' 30\n', ' 3000E-2\n')],
  ])('%s', (_, change) => {
    const text = change(asciiStl(cube))
    expect(text).not.toBe(asciiStl(cube))
    expect(readStl(bytesOf(text), 'part.stl')).toEqual({ corners: cube, problems: [] })
  })

  it('joins the bodies of one file', () => {
    expect(readStl(bytesOf(asciiStl(cube) + asciiStl(cube)), 'part.stl').corners?.length).toBe(2 * cube.length)
    expect(readStl(bytesOf((asciiStl(cube) + asciiStl(cube)).replaceAll('\n', ' ')), 'part.stl').corners?.length).toBe(2 * cube.length)
  })

  it.each(['nan', '-nan', 'NaN', 'inf', '-Infinity', '1.#QNAN', '-nan(ind)', '1e39', '1e999'])('leaves out a facet with %s', word => {
    const { corners, problems } = readStl(bytesOf(asciiStl(cube).replace('vertex 0', `vertex ${word}`)), 'part.stl')
    expect(corners?.length).toBe(9 * 11)
    expect(problems.map(problem => [problem.rule, problem.message])).toEqual([['mesh-damaged', expect.stringContaining('part.stl: 1 facet of 12 left out')]])
  })

  it('says when it does not end', () => {
    const { corners, problems } = readStl(bytesOf(asciiStl(cube).replace('endsolid made for a test', '')), 'part.stl')
    expect(corners).toEqual(cube)
    expect(problems.map(problem => problem.message)).toEqual([expect.stringContaining('does not end with "endsolid"')])
  })

  it('reads every number to the last bit (seed 11)', () => {
    const random = new SeededRandom(11)
    const words = ['0', '-0', '1', '.5', '5.', '+7', '1e5', '-1.25E-3', '123456789012345', '1234567890123456789', '0.1', '1e22', '1e23', '1e-22', '1e-23', '9007199254740993', '0.000000000000000000000001', '4.9e-324', '179769313486231570000000000000000000000']
    for (let i = 0; i < 20_000; i++) {
      const value = (random.next() - 0.5) * 10 ** random.whole(-12, 12)
      words.push(random.pick([String(value), value.toFixed(random.whole(0, 9)), value.toExponential(random.whole(0, 17)), String(Math.fround(value))]))
    }
    for (const word of words) {
      const bytes = bytesOf(`<${word}>`)
      expect(numberAt(bytes, 1, bytes.length - 1), word).toBe(Number(word) + 0)
    }
    for (const word of ['', '-', '+', '.', 'e5', '1e', '1e+', '1.2.3', '0x10', '1_000', '1,5', '--1', '1-2', 'abc']) {
      expect(numberAt(bytesOf(word), 0, word.length), word).toBeUndefined()
    }
  })
})

describe.each([3, 2026, 555])('damaged files, seed %i', seed => {
  const forms: [string, Uint8Array][] = [['binary', binaryStl(cube)], ['text', bytesOf(asciiStl(cube))], ['text on one line', bytesOf(asciiStl(cube).replaceAll('\n', ' '))]]
  it.each(forms)('%s never makes the reader throw', (_, whole) => {
    const random = new SeededRandom(seed)
    for (let run = 0; run < 2000; run++) {
      let bytes = whole.slice()
      for (let times = random.whole(1, 6); times > 0; times--) {
        if (bytes.length === 0) break
        switch (random.whole(0, 3)) {
          case 0: bytes[random.whole(0, bytes.length - 1)] = random.whole(0, 255); break
          case 1: bytes = bytes.slice(0, random.whole(0, bytes.length)); break
          case 2: bytes = Uint8Array.of(...bytes, ...Array.from({ length: random.whole(0, 60) }, () => random.whole(0, 255))); break
          default: bytes.fill(random.whole(0, 255), random.whole(0, bytes.length), random.whole(0, bytes.length))
        }
      }
      const { corners, problems } = readStl(bytes, 'part.stl')
      expect(corners !== undefined || problems.some(problem => problem.rule === 'mesh-unreadable')).toBe(true)
      if (corners === undefined) continue
      expect(corners.length % 9).toBe(0)
      expect(corners.length).toBeGreaterThan(0)
      expect(corners.every(Number.isFinite)).toBe(true)
    }
  })
})
