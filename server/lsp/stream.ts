/** Runs an action soon after it is woken, and not more often than once in `pause` ms. */
export class Stream {
  readonly #act: () => void
  readonly #pause: number
  #timer: NodeJS.Timeout | undefined

  constructor(pause: number, act: () => void) {
    this.#pause = pause
    this.#act = act
  }

  wake(): void {
    this.#timer ??= setTimeout(() => {
      this.#timer = undefined
      this.#act()
    }, this.#pause)
  }

  stop(): void {
    clearTimeout(this.#timer)
    this.#timer = undefined
  }
}
