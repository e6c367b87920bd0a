import { boundText } from '../../../shared/bound-text.ts'
import { components } from '../../../shared/finding.ts'
import { escaped, sizeWords, toolPicture } from '../../engine/service.ts'
import { figureWords } from '../closing-words.ts'
import { paragraph, section, table, type Html } from './html.ts'
import type { RecordInput } from './record-input.ts'

/** Each tool of the sheet that the program uses, drawn, with its sizes and its certified worst figures against the part. */
export function toolsSection({ outcome: { result, scene } }: RecordInput): Html {
  const tools = scene.setup?.tools ?? [], used = new Set(result.program.toolpath.tool)
  const shown = tools.filter((_, index) => used.has(index))
  if (!result.motionChecked || shown.length === 0) return section('tools', 'Tools', [paragraph('No tool of a setup sheet moves in this program.')])
  return section('tools', 'Tools', shown.map(tool => {
    const worst = result.tools.find(({ number }) => number === tool.number)?.worst ?? {}
    const rows = components.flatMap(component => {
      const figure = worst[component]
      return figure === undefined || !Number.isFinite(figure.value) ? [] : [[component, figureWords(figure.value), `± ${boundText(figure.bound)} mm`, String(figure.line)]]
    })
    return [
      `<h3>Tool ${tool.number}: ${escaped(tool.name)}</h3>`,
      '<div class="tool-sheet">', toolPicture(tool), '<div>',
      paragraph(`${sizeWords(tool)}.`.replace(/^./, letter => letter.toUpperCase())),
      paragraph(`The program positions ${tool.point === 'tip' ? 'the tip' : 'the centre of the corner radius'}; length offset H${tool.lengthOffset}.`),
      rows.length === 0 ? paragraph('It was not compared with a part.') : table('Worst figures against the part', ['Component', 'Nearest', 'Proven within', 'Line'], rows),
      '</div></div>',
    ].join('\n')
  }))
}
