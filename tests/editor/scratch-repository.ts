// A Git repository in the folder that stands open, for what holds a program against its last commit.
import { execFileSync } from 'node:child_process'

/** Commits a text under a name, whatever the file of that name holds; makes the repository where there is none. */
export function commitFile(folder: string, name: string, text: string): void {
  const git = (words: readonly string[], input = ''): string => execFileSync('git', ['-C', folder, ...words], { encoding: 'utf8', input }).trim()
  git(['init', '--quiet'])
  git(['update-index', '--add', '--cacheinfo', `100644,${git(['hash-object', '-w', '--stdin'], text)},${name}`])
  git(['-c', 'user.name=Releaser', '-c', 'user.email=releaser@example.com', 'commit', '--quiet', '--message', 'Release'])
}
