// The other editor whose language client the server is tried with.
import { installFromDebian, onPath } from './debian.mjs'

/** Throws one line that says what to install where it cannot be installed from here. */
export async function needNeovim() {
  if (process.env.NEOVIM !== undefined || onPath('nvim')) return
  await installFromDebian(['neovim'], 'Neovim is missing: install it (on Debian: apt-get install neovim), or set NEOVIM to its path.')
}
