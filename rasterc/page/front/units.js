/** Places: the server counts code points, the editor UTF-16 units. */

const WIDE = /[\ud800-\udbff]/;

/** What turns a place of the server into one of the editor, for a text. */
export function toUnits(text) {
  if (!WIDE.test(text)) return (place) => Math.min(place, text.length);
  const starts = [];
  let at = 0;
  for (const char of text) {
    starts.push(at);
    at += char.length;
  }
  return (place) => starts[place] ?? text.length;
}
