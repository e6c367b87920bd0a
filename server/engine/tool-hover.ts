import type { Setup, Tool } from '../../shared/setup.ts'
import { toolCard } from './record/tool-card.ts'
import { sizeWords } from './record/tool-picture.ts'
import { parseJson } from './setup/json-tree.ts'
import { readSetup } from './setup/read-setup.ts'

/** Characters. Editors cut the text of a hover off somewhere, and a picture cut off is none: an outline of very many points is left to the words. */
const LONGEST_PICTURE = 60_000

/** How a client shows Markdown. */
export interface HoverLook {
  /** It draws pictures whose address holds the picture itself; others would print the address. */
  readonly pictures: boolean
}

/** What the sheet says of a tool that the program calls, as Markdown; undefined where there is no sheet to say it. */
export function toolWords(setup: Setup | undefined, number: number, look: HoverLook): string | undefined {
  if (setup === undefined) return undefined
  const tool = setup.tools.find(one => one.number === number)
  if (tool !== undefined) return drawnTool(tool, look)
  return setup.toolsSetAside?.some(one => one.number === number) === true
    ? `Tool ${number} stands in the setup sheet, but not so that its form is known; what is missing or wrong is told there.`
    : `Tool ${number} is not in the setup sheet.`
}

/** The tool whose entry in a setup sheet holds the place, where its form is known, as Markdown. Any text is fine. */
export function sheetToolAt(sheet: { readonly path: string, readonly text: string }, offset: number, look: HoverLook): string | undefined {
  const { root } = parseJson(sheet.text)
  const tools = root?.kind === 'object' ? root.members.find(({ key }) => key === 'tools')?.value : undefined
  const entry = tools?.kind === 'array' ? tools.items.find(({ span }) => offset >= span.start && offset < span.end) : undefined
  if (entry === undefined) return undefined
  const tool = readSetup(sheet).setup?.tools.find(({ span }) => span.start >= entry.span.start && span.end <= entry.span.end)
  return tool === undefined ? undefined : drawnTool(tool, look)
}

function drawnTool(tool: Tool, { pictures }: HoverLook): string {
  const words = `Tool ${tool.number}, ${plainText(tool.name)}: ${sizeWords(tool)}. The program positions ${tool.point === 'tip' ? 'the tip' : 'the centre of the corner radius'}; length offset H${tool.lengthOffset}.`
  if (!pictures) return words
  const address = pictureAddress(toolCard(tool))
  return address.length > LONGEST_PICTURE ? `${words} (Its outline has too many points to be drawn here.)` : `![Tool ${tool.number} from the side](${address})\n\n${words}`
}

/** The picture as its own address. Brackets would end it in Markdown. */
function pictureAddress(svg: string): string {
  return `data:image/svg+xml,${encodeURIComponent(svg).replace(/[()'*]/g, character => `%${character.charCodeAt(0).toString(16)}`)}`
}

/** Words of a file, with nothing in them that Markdown reads as more than text. */
function plainText(words: string): string {
  return words.replace(/\s+/g, ' ').replace(/[\\`*_{}[\]()<>#|!~&]/g, '\\$&')
}
