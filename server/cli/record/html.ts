import { escaped } from '../../engine/service.ts'

// Pieces of the record's page. Whatever comes from a file goes through `escaped`.

/** Markup that is ready: texts have been escaped. */
export type Html = string

export function section(id: string, heading: string, inside: readonly Html[]): Html {
  return `<section aria-labelledby="${id}">\n<h2 id="${id}">${escaped(heading)}</h2>\n${inside.join('\n')}\n</section>\n`
}

export function paragraph(text: string, kind?: string): Html {
  return `<p${kind === undefined ? '' : ` class="${kind}"`}>${escaped(text)}</p>`
}

export function list(items: readonly string[]): Html {
  return items.length === 0 ? '' : `<ul>\n${items.map(item => `<li>${escaped(item)}</li>`).join('\n')}\n</ul>`
}

/** A table whose first cell of each row names the row. `rows`: texts; a plain number is never broken over two lines, where it would read as two. */
export function table(caption: string, heads: readonly string[], rows: readonly (readonly string[])[]): Html {
  const head = heads.map(text => `<th scope="col">${escaped(text)}</th>`).join('')
  const body = rows.map(([first, ...rest]) => `<tr><th scope="row">${escaped(first ?? '')}</th>${rest.map(text => `<td${/^[\d.,]+$/.test(text) ? ' class="number"' : ''}>${escaped(text)}</td>`).join('')}</tr>`)
  return `<table>\n<caption>${escaped(caption)}</caption>\n<thead><tr>${head}</tr></thead>\n<tbody>\n${body.join('\n')}\n</tbody>\n</table>`
}

export function figure(picture: Html, caption: string): Html {
  return `<figure>${picture}<figcaption>${escaped(caption)}</figcaption></figure>`
}
