import type { Point } from '../../shared/finding.ts'

/** Words that stand beside a point of the picture. */
export interface Label {
  readonly text: string
  /** Part frame, mm. */
  readonly point: Point
  readonly kind: 'frame' | 'figure' | 'measure'
}
