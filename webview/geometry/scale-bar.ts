/** A length of 1, 2 or 5 times a power of ten whose bar is as long as it can be within `room`. */
export function scaleBar(pixelsPerUnit: number, room: number): { readonly length: number, readonly pixels: number } | undefined {
  const most = room / pixelsPerUnit
  if (!Number.isFinite(most) || most <= 0) return undefined
  const power = 10 ** Math.floor(Math.log10(most))
  const length = [5, 2, 1].map(step => step * power).find(candidate => candidate <= most) ?? power
  return { length, pixels: length * pixelsPerUnit }
}
