/** What a caught fault says of itself. */
export function reasonOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error)
}
