// The package carries no types: a scanned mesh, corners and the triangles between them.
declare module 'bunny' {
  const bunny: { readonly positions: readonly (readonly number[])[], readonly cells: readonly (readonly number[])[] }
  export default bunny
}
