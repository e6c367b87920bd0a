import { dirname, isAbsolute, relative, sep } from 'node:path'
import type { Finding } from '../../../shared/finding.ts'

/** A path as from a folder, so that a record is the same wherever the job lies. */
export function fromFolder(path: string, folder: string): string {
  const way = relative(folder, path)
  return way === '' || isAbsolute(way) ? path : way.split(sep).join('/')
}

/** The findings with the paths in their sentences told as from a folder. */
export function toldFromFolder(findings: readonly Finding[], folder: string): Finding[] {
  const replace = (text: string) => foldersAbove(folder).reduce((told, { path, from }) => told.replaceAll(path, from), text)
  return findings.map(finding => ({
    ...finding, message: replace(finding.message),
    ...finding.related === undefined ? {} : { related: finding.related.map(one => ({ ...one, message: replace(one.message) })) },
  }))
}

/** The folder and those above it, each with how it is called from there; the root of the disk is no help, since a single slash means many things. */
function foldersAbove(folder: string): { readonly path: string, readonly from: string }[] {
  const found: { readonly path: string, readonly from: string }[] = []
  for (let at = folder, from = ''; dirname(at) !== at; at = dirname(at), from += '../') found.push({ path: at + sep, from })
  return found
}
