/** The addresses of the page's own places. */

/**
 * @param {{file: string, message: string, line: string}} entry
 * @param {{at: string, counters: object, inputs: object}} [shown] a moment, and values to show it with
 */
export function addressOf(entry, shown) {
  const parts = [entry.file, entry.message, entry.line];
  if (shown) parts.push(JSON.stringify({ at: shown.at, counters: shown.counters, inputs: shown.inputs }));
  return `#/message/${parts.map(encodeURIComponent).join("/")}`;
}
