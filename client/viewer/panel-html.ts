/** Addresses of the bundle as the webview may load them, and the words its security policy needs. */
export interface ViewerPage {
  readonly script: string
  readonly style: string
  /** The source the editor serves our files from. */
  readonly cspSource: string
  /** Fresh for each page: only the script and style that carry it are run. */
  readonly nonce: string
  /** File name of the program, for the page's title. */
  readonly program: string
}

/** The viewer's page: nothing but our own two files may load, and nothing at all may be fetched from outside. */
export function viewerPage(page: ViewerPage): string {
  const policy = [
    "default-src 'none'",
    `img-src ${page.cspSource} data: blob:`,
    `font-src ${page.cspSource}`,
    `style-src 'nonce-${page.nonce}'`,
    `script-src 'nonce-${page.nonce}'`,
  ].join('; ')
  return `<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${escapeAttribute(policy)}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${escapeAttribute(page.program)}</title>
<link rel="stylesheet" nonce="${escapeAttribute(page.nonce)}" href="${escapeAttribute(page.style)}">
</head>
<body>
<main id="viewer" data-state="connecting"></main>
<script nonce="${escapeAttribute(page.nonce)}" src="${escapeAttribute(page.script)}"></script>
</body>
</html>
`
}

function escapeAttribute(text: string): string {
  return text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;').replaceAll('"', '&quot;')
}
