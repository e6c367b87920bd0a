import { describe, expect, it } from 'vitest'
import { sheetToolAt, toolWords } from '../../server/engine/editor-service.ts'
import { readSetup } from '../../server/engine/setup/read-setup.ts'

// A tool as it is shown in a hover. What the words say is tested in tests/features/hover.md.

const sheetWith = (name: string, shape = '"ball", "DC": 6, "LCF": 10') => `{
  "programs": ["a.nc"], "offsets": { "G54": { "X": 0, "Y": 0, "Z": 0 } },
  "tools": [
    { "number": 1, "name": ${JSON.stringify(name)}, "cutter": { "shape": ${shape} }, "LPR": 30, "holder": [{ "diameter": 20, "length": 40 }] },
    { "number": 2, "name": "not yet measured", "cutter": { "shape": "flat", "DC": 8, "LCF": null }, "LPR": 30 }
  ]
}`
const shown = (text: string) => toolWords(readSetup({ path: '/job/a.setup.json', text }).setup, 1, { pictures: true }) ?? ''
const address = /^!\[Tool 1 from the side\]\((data:image\/svg\+xml,[^\s()]+)\)\n\n/

/** The picture that a hover holds in its address. */
function pictureIn(markdown: string): string {
  const [, uri = ''] = address.exec(markdown) ?? []
  return decodeURIComponent(uri.slice(uri.indexOf(',') + 1))
}

/** How long along the axis and how wide across it the piece of a component is drawn: the tool lies on its side. */
function sizeOf(svg: string, component: string): { long: number, wide: number } {
  const [, path = ''] = new RegExp(`class="tool ${component}" d="([^"]*)"`).exec(svg) ?? []
  const places = [...path.matchAll(/[ML](-?[\d.]+) (-?[\d.]+)/g)].map(([, x, y]) => [Number(x), Number(y)] as const)
  const extent = (values: number[]) => Math.max(...values) - Math.min(...values)
  return { long: extent(places.map(([x]) => x)), wide: extent(places.map(([, y]) => y)) }
}

describe('a drawn tool', () => {
  it('has the proportions that the sheet gives', () => {
    const svg = pictureIn(shown(sheetWith('ball 6'))), cutter = sizeOf(svg, 'cutter'), holder = sizeOf(svg, 'holder')
    // Coordinates are written to a hundredth of a pixel.
    expect(holder.wide / cutter.wide).toBeCloseTo(20 / 6, 2)
    expect(holder.long / cutter.long).toBeCloseTo(40 / 10, 2)
    expect(cutter.long / cutter.wide).toBeCloseTo(10 / 6, 2)
  })

  it('stands on a ground of its own, and says its sizes to those who do not see it', () => {
    const svg = pictureIn(shown(sheetWith('ball 6')))
    expect(svg).toMatch(/^<svg [^>]*role="img" aria-label="Tool 1, ball 6, from the side: cutter ball, DC 6 mm[^"]*"[^>]*><style>[^<]+<\/style><rect width="460" height="150" rx="4" fill="#ffffff"\/>/)
  })

  it.each([
    ['"flat", "DC": 63, "LCF": 12', 'LCF 12 mm|LPR 30 mm|70 mm'],
    ['"ball", "DC": 0.2, "LCF": 0.3', 'LCF 0.3 mm|LPR 30 mm|70 mm'],
    ['"drill", "DC": 3, "SIG": 118, "LCF": 29.9999', 'LCF 29.9999 mm|LPR 30 mm|70 mm'],
  ])('lies wholly in its picture, with its sizes beside one another: %s', (shape, words) => {
    const svg = pictureIn(shown(sheetWith('tool', shape)))
    const places = [...svg.matchAll(/[ML](-?[\d.]+) (-?[\d.]+)/g)].map(([, x, y]) => [Number(x), Number(y)] as const)
    expect(Math.min(...places.map(([x]) => x), ...places.map(([, y]) => y))).toBeGreaterThanOrEqual(0)
    expect(Math.max(...places.map(([x]) => x))).toBeLessThanOrEqual(460)
    expect(Math.max(...places.map(([, y]) => y))).toBeLessThanOrEqual(150)
    const sizes = [...svg.matchAll(/<text class="size-words" x="([\d.]+)" y="\d+">([^<]*)</g)].map(([, x, text = '']) => ({ x: Number(x), text }))
    expect(sizes.map(({ text }) => text).join('|')).toBe(words)
    // Digits of a plain typeface are little more than half as wide as it is high, here 11 pixels.
    for (const [n, { x }] of sizes.entries()) if (n > 0) expect(x - (sizes[n - 1]?.x ?? 0)).toBeGreaterThan(6 * (sizes[n - 1]?.text.length ?? 0))
    expect((sizes.at(-1)?.x ?? 0) + 6 * (sizes.at(-1)?.text.length ?? 0)).toBeLessThan(460)
  })

  it.each([
    ['Markdown', '](https://elsewhere.test/x.png) **bold** `code` # | <img src=x>'],
    ['a picture\'s markup', '"/><script>alert(1)</script>&amp;'],
    ['line ends and quotes', 'a\r\nb\u2028c \'d\' "e"'],
  ])('takes a name of %s as text', (_, name) => {
    const markdown = shown(sheetWith(name)), svg = pictureIn(markdown)
    expect(markdown).toMatch(address)
    expect(svg).not.toMatch(/<script|<img/)
    const words = markdown.replace(address, '')
    expect(words).not.toMatch(/(?<!\\)[`*[\]<>#|]/)
    expect(words).not.toMatch(/[\n\u2028]/)
  })

  // The editor used for the tests cuts the text of a hover off after 100,000 characters.
  it.each([
    ['"ball", "DC": 6, "LCF": 10'],
    ['"lollipop", "DC": 8, "DN": 4, "LCF": 10'],
    ['"profile", "outline": [[0, 0], [3, 1], { "to": [4, 2], "radius": 1 }, [4, 14]]'],
  ])('is short enough for a hover: %s', shape => {
    const markdown = shown(sheetWith('tool', shape))
    expect(markdown).toMatch(address)
    expect(markdown.length).toBeLessThan(100_000)
  })

  it('is left to the words where its outline has too many points, which is said', () => {
    const outline = Array.from({ length: 499 }, (_, n) => `{ "to": [${(n + 1) / 100}, ${(n + 1) / 20}], "radius": 0.04 }`)
    const markdown = shown(sheetWith('tool', `"profile", "outline": [[0, 0], ${outline.join(',')}]`))
    expect(markdown).toMatch(/^Tool 1, tool: cutter profile.* \(Its outline has too many points to be drawn here\.\)$/)
  })
})

describe('a tool in its sheet', () => {
  const text = sheetWith('ball 6'), path = '/job/a.setup.json'
  const at = (words: string) => sheetToolAt({ path, text }, text.indexOf(words), { pictures: false })

  it.each(['"number": 1', '"ball 6"', '"DC": 6', '"diameter": 20'])('is shown anywhere in its entry: %s', words => {
    expect(at(words)).toBe('Tool 1, ball 6: cutter ball, DC 6 mm, LCF 10 mm; stick-out LPR 30 mm; holder 1: 20 mm wide, 40 mm long. The program positions the tip; length offset H1.')
  })

  it.each(['"programs"', '"tools"', '"not yet measured"', '"DC": 8'])('is not shown at %s', words => {
    expect(at(words)).toBeUndefined()
  })

  it.each(['', '[', '{"tools": 3}', '{"tools": [[]]}', '{"tools": [{'])('any text is fine: %s', broken => {
    for (let offset = 0; offset <= broken.length; offset++) expect(sheetToolAt({ path, text: broken }, offset, { pictures: true })).toBeUndefined()
  })
})
