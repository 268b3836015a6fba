/** The addresses of the page's own places. */

/** @param {{file: string, message: string, line: string}} entry */
export function addressOf(entry) {
  return `#/message/${[entry.file, entry.message, entry.line].map(encodeURIComponent).join("/")}`;
}
