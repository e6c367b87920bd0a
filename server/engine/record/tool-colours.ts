// The look of a drawn assembly, for the record's page and for pictures that stand by themselves. Made for a light ground; nothing is told by colour alone.

/** The components, from the tip upward. */
export const toolColours: readonly string[] = [
  '.tool { fill: #f3d9a4; fill-opacity: .75; stroke: #7a5200; stroke-width: 1 }',
  '.tool.neck { fill: #cfe3d4; stroke: #2c6140 }',
  '.tool.shank { fill: #d5dcf0; stroke: #33477f }',
  '.tool.holder { fill: #e3d6e8; stroke: #5c3a6b }',
]

/** The axis, and the sizes beside it with their words. */
export const lineColours: readonly string[] = [
  '.axis { fill: none; stroke: #57616b; stroke-width: .8; stroke-dasharray: 8 3 2 3 }',
  '.size, .scale { fill: none; stroke: #57616b; stroke-width: .8 }',
  'svg text { font: 11px "Liberation Sans", Arial, sans-serif; fill: #1d2329 }',
]
