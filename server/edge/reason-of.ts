/** What a caught fault says of itself. */
export function reasonOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error)
}

/** A fault of ours with the way to it. */
export function faultOf(error: unknown): string {
  return error instanceof Error ? error.stack ?? error.message : String(error)
}
