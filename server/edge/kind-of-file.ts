import type { TextFile } from '../engine/service.ts'

// A sheet may name any file, and what is found in it goes into logs and records that others read. So of a file that is
// neither called what it should be nor has the key that every one of its kind has, nothing is quoted.

export function isMachineFile({ path, text }: TextFile): boolean {
  return /\.machine\.json$/i.test(path) || /"axes"\s*:/.test(text)
}

export function isSetupSheet({ path, text }: TextFile): boolean {
  return /\.setup\.json$/i.test(path) || /"tools"\s*:/.test(text)
}
