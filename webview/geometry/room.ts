/** A rectangle of the picture, any unit. */
export interface Place {
  readonly x: number
  readonly y: number
  readonly width: number
  readonly height: number
}

/** Gives room on a picture to whoever asks first. */
export class Room {
  readonly #taken: Place[] = []

  /** False where another has room that this place would cover; then it is not taken. */
  take(place: Place): boolean {
    const { x, y, width, height } = place
    if (this.#taken.some(other => x < other.x + other.width && other.x < x + width && y < other.y + other.height && other.y < y + height)) return false
    this.#taken.push(place)
    return true
  }
}
