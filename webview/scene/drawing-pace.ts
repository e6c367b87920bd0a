// A picture of a million triangles with all that belongs to it is nothing to a graphics card, and seconds to a processor
// that stands in for one. Which of them draws is not known, so it is measured: where a full picture takes long, a quick one
// follows every movement, and the full one comes when the movement rests.

/** A full picture that takes no longer is drawn after every change, ms. */
const PROMPT = 60

/** The full picture comes when nothing has changed for so long, ms. */
const REST = 250

/** How often the card is asked whether it is done, ms. */
const ASKING = 8

/** Decides which changes get a full picture at once. */
export class DrawingPace {
  readonly #rested: () => void
  #isPrompt = false
  #resting: ReturnType<typeof setTimeout> | undefined
  #asking: ReturnType<typeof setTimeout> | undefined

  /** `rested`: nothing has changed for a while after a quick picture; the full one is due. */
  constructor(rested: () => void) {
    this.#rested = rested
  }

  /** Whether the next picture is to be a quick one. */
  get isQuick(): boolean { return !this.#isPrompt }

  /** Scene or card are others now: how long a full picture takes is not known yet. */
  forget(): void {
    clearTimeout(this.#asking)
    this.#asking = undefined
    this.#isPrompt = false
  }

  /** A quick picture has been drawn. */
  drewQuick(): void {
    clearTimeout(this.#resting)
    this.#resting = setTimeout(this.#rested, REST)
  }

  /** A full picture has been asked of the card, which began at `begin` of the page's clock, ms. */
  drewFull(card: WebGL2RenderingContext, begin: number): void {
    clearTimeout(this.#resting)
    // One look at a time: the picture before is still being drawn.
    if (this.#asking !== undefined) return
    const done = card.fenceSync(card.SYNC_GPU_COMMANDS_COMPLETE, 0)
    if (done === null) return
    card.flush()
    const ask = () => {
      if (card.getSyncParameter(done, card.SYNC_STATUS) === card.SIGNALED) {
        card.deleteSync(done)
        this.#asking = undefined
        this.#isPrompt = performance.now() - begin <= PROMPT
      } else {
        this.#asking = setTimeout(ask, ASKING)
      }
    }
    this.#asking = setTimeout(ask, 0)
  }
}
