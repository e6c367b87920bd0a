import { pictureOfLeft } from '../../engine/service.ts'
import { areaWords, count, leastWords, length, placedWords } from '../closing-words.ts'
import { figure, section, table, type Html } from './html.ts'
import { recordScene, type RecordInput } from './record-input.ts'

/** What stands on the part after the last block, and what was taken of it; empty where it was not measured. */
export function surfaceSection(input: RecordInput): Html {
  const { surface } = input.outcome.result
  if (surface === undefined) return ''
  const { leftover, overcut, isOvercutLeast, area, reached, finished, spacing, samples } = surface
  return section('surface', 'The part after the last block', [
    table(`Measured along the normal at ${count(samples, 'point')}; no point of the mesh lies farther than ${length(spacing)} mm from one of them.`, ['Figure', 'Value'], [
      ['Surface of the mesh', areaWords(area)],
      ['Passes come near', `${areaWords(reached)}, ${share(area > 0 ? reached / area : 0)}`],
      ['Of that, no more stands than the sheet\'s limit on', areaWords(finished)],
      ['Tallest material there', placedWords(leftover, 'none')],
      ['Deepest cut', `${placedWords(overcut, 'none below the surface')}${isOvercutLeast ? `. ${leastWords}` : ''}`],
    ]),
    ...leftMap(input),
  ])
}

/** The part in the colours of what is left on it. */
function leftMap(input: RecordInput): Html[] {
  const scene = recordScene(input), { measured } = input.outcome, passes = input.outcome.scene.setup?.passes ?? []
  const picture = scene === undefined || measured === undefined ? undefined : pictureOfLeft(scene, measured)
  if (picture === undefined) return []
  const { drawing, views, shown } = picture
  const others = passes.some(({ limits }) => limits.gouge !== undefined || limits.leftover !== undefined || limits.stockToLeave !== undefined)
  return [figure(drawing, [
    `The part ${views.length > 1 ? `${views[0]} (left) and ${views[1]} (right)` : views.join('')}, coloured by what is left at the points of measure, also where the part would hide it. Of several points in one dot a cut deeper than allowed comes first, then the farthest from the surface; nothing is known between them.`,
    `T: the tallest material, D: the deepest cut, where they can be seen.`,
    `Grey with lines: nothing is known, since no pass comes near, or the surface stands edge-on or turned away. ${views.length > 1 ? 'Both views together show' : 'This view shows'} ${share(shown)} of the measured surface.`,
    `The limits are those of the sheet${others ? '; passes have others' : ''}.`,
  ].join(' '))]
}

function share(part: number): string {
  return `${(part * 100).toFixed(1)} %`
}
