// Style sheets are bundled beside the script; nothing is imported from them.
declare module '*.css'
