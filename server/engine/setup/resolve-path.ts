// Paths are only joined here, as text, since the engine knows no file system. Both slashes and
// drive letters are understood, so that a sheet written on one system is found on another.

/** `path` as seen from the folder that holds `file`. */
export function resolveBeside(file: string, path: string): string {
  if (/^([/\\]|[A-Za-z]:)/.test(path)) return path
  const cut = Math.max(file.lastIndexOf('/'), file.lastIndexOf('\\'))
  const folder = cut < 0 ? '' : file.slice(0, cut + 1)
  const separator = folder.includes('\\') && !folder.includes('/') ? '\\' : '/'
  const root = /^([A-Za-z]:)?[/\\]{0,2}/.exec(folder)?.[0] ?? ''
  const parts: string[] = []
  for (const part of (folder.slice(root.length) + path).split(/[/\\]+/)) {
    if (part === '' || part === '.') continue
    const last = parts.at(-1)
    if (part === '..' && last !== undefined && last !== '..') parts.pop()
    else if (part !== '..' || root === '') parts.push(part)
  }
  return root + parts.join(separator)
}
