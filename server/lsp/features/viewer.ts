import type { ServerContext } from '../server-context.ts'
import { describeOther } from '../other-version.ts'
import { describeResult } from '../result-answers.ts'
import { answerPose, describeScene } from '../viewer-answers.ts'

/** What the viewer asks: the scene, its large arrays in slices, another version beside it, and the tool at a line. */
export function registerViewer({ answer, readingOf, buffers }: ServerContext): void {
  answer('toolwake/scene', async ({ uri }) => describeScene(uri, await readingOf(uri), buffers))
  answer('toolwake/result', async ({ uri }) => describeResult(uri, await readingOf(uri), buffers))
  answer('toolwake/sceneBuffer', ({ uri, key, offset, base }) => buffers.slice(uri, key, offset, base))
  answer('toolwake/otherVersion', async params => describeOther(params, await readingOf(params.uri), buffers))
  answer('toolwake/poseAt', async ({ uri, line }) => answerPose(line, await readingOf(uri)))
}
