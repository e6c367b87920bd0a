// The editor's colours and our own, for the theme in force. Every meaning also has a shape or a
// pattern of its own; the hues (blue, brick, ochre) stay apart for all common kinds of colour
// blindness, and differ in lightness as well.

export type ThemeKind = 'light' | 'dark' | 'high-contrast-dark' | 'high-contrast-light'

export interface Palette {
  readonly background: string
  readonly part: string
  /** Faces of the part seen from inside. */
  readonly partInside: string
  readonly cutting: string
  readonly rapid: string
  /** The path of the block under the cursor, and its halo. */
  readonly current: string
  readonly currentHalo: string
  /** Tip to spindle: told apart by shade. */
  readonly cutter: string
  readonly neck: string
  readonly shank: string
  readonly holder: string
  readonly fixture: string
  readonly barrier: string
  readonly machine: string
  readonly stock: string
  /** What the cutter leaves behind. */
  readonly wake: string
  /** Of two versions of a program: motion that only the other one has, and that only this one has. */
  readonly before: string
  readonly after: string
  readonly error: string
  readonly warning: string
  readonly note: string
  /** Edge of the marks, against whatever lies behind. */
  readonly markEdge: string
  /** How strongly path behind the part shines through, 0 to 1. */
  readonly behind: number
}

const palettes: Readonly<Record<ThemeKind, Omit<Palette, 'background'>>> = {
  light: {
    part: '#cfc8bb', partInside: '#a9886a', cutting: '#14588f', rapid: '#7a5c14', current: '#c2185b', currentHalo: '#ffffff',
    cutter: '#c6d6e0', neck: '#a2b6c3', shank: '#8197a6', holder: '#66798a',
    fixture: '#9c8fae', barrier: '#c08a3e', machine: '#a9adb2', stock: '#6d7f5a', wake: '#4fa89b', before: '#8a5a00', after: '#5b2a86',
    error: '#b3261e', warning: '#b97700', note: '#356d9e', markEdge: '#ffffff', behind: 0.16,
  },
  dark: {
    part: '#8f897e', partInside: '#6b4f3b', cutting: '#86cdf9', rapid: '#d8b45a', current: '#ff86b5', currentHalo: '#1b1b1b',
    cutter: '#d5e2ea', neck: '#a9bac5', shank: '#7f919e', holder: '#5c6c79',
    fixture: '#8d7fa3', barrier: '#b98a4a', machine: '#767b81', stock: '#a9bd93', wake: '#4cb3a4', before: '#e0a94e', after: '#cf9bff',
    error: '#ff7a66', warning: '#f0b429', note: '#8dbde6', markEdge: '#161616', behind: 0.2,
  },
  'high-contrast-dark': {
    part: '#6f6f6f', partInside: '#3c2f25', cutting: '#9fe0ff', rapid: '#ffd75e', current: '#ff9ecb', currentHalo: '#000000',
    cutter: '#ffffff', neck: '#d0d0d0', shank: '#a4a4a4', holder: '#7c7c7c',
    fixture: '#8f86a0', barrier: '#c79a57', machine: '#8a8a8a', stock: '#c5dba9', wake: '#5fd3c2', before: '#ffc04d', after: '#dcb3ff',
    error: '#ff8a78', warning: '#ffc83d', note: '#a8d4ff', markEdge: '#000000', behind: 0.3,
  },
  'high-contrast-light': {
    part: '#d9d9d9', partInside: '#a08a78', cutting: '#00366b', rapid: '#5c4300', current: '#8a0045', currentHalo: '#ffffff',
    cutter: '#cfd8de', neck: '#acb8c0', shank: '#8a97a0', holder: '#6a7780',
    fixture: '#84789a', barrier: '#9a6a1c', machine: '#8b9096', stock: '#4c5f36', wake: '#1f7f72', before: '#6b4500', after: '#46166f',
    error: '#8f0f08', warning: '#7a4c00', note: '#0a4a80', markEdge: '#ffffff', behind: 0.25,
  },
}

/** Reads the theme off the page: the editor marks the body with its kind and sets its colours as CSS variables. */
export function readPalette(page: Document): Palette {
  const style = getComputedStyle(page.body)
  const background = style.getPropertyValue('--vscode-editor-background').trim()
  const kind = kindOf(page.body.classList, background)
  return { ...palettes[kind], background: background !== '' ? background : isDark(kind) ? '#1e1e1e' : '#ffffff' }
}

/** Calls back whenever the editor changes its theme. */
export function watchTheme(page: Document, changed: () => void): void {
  const observer = new MutationObserver(changed)
  observer.observe(page.body, { attributes: true, attributeFilter: ['class', 'data-vscode-theme-id'] })
  observer.observe(page.documentElement, { attributes: true, attributeFilter: ['style', 'class'] })
}

function kindOf(classes: DOMTokenList, background: string): ThemeKind {
  if (classes.contains('vscode-high-contrast-light')) return 'high-contrast-light'
  if (classes.contains('vscode-high-contrast')) return 'high-contrast-dark'
  if (classes.contains('vscode-light')) return 'light'
  if (classes.contains('vscode-dark')) return 'dark'
  return lightness(background) < 0.5 ? 'dark' : 'light'
}

function isDark(kind: ThemeKind): boolean {
  return kind === 'dark' || kind === 'high-contrast-dark'
}

/** Rough lightness of `#rrggbb`, 0 to 1; anything else counts as light. */
function lightness(colour: string): number {
  const digits = /^#([0-9a-f]{2})([0-9a-f]{2})([0-9a-f]{2})/i.exec(colour)
  if (digits === null) return 1
  const [red, green, blue] = digits.slice(1).map(pair => parseInt(pair, 16) / 255)
  return 0.3 * (red ?? 1) + 0.59 * (green ?? 1) + 0.11 * (blue ?? 1)
}
