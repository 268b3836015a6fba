/** A place in the source and its drops: each shows the other. */
import { T } from "./texts.js";
import { toUnits } from "./units.js";

export class Places {
  constructor(editor, hero) {
    this.editor = editor;
    this.hero = hero;
    this.boxes = [];
  }

  /** Take a print: where each piece of it stands in the source. */
  take(drawn) {
    const units = toUnits(this.editor.text);
    const boxes = drawn.drops?.boxes ?? [];
    this.boxes = boxes.filter((box) => box.place && !box.place.file)
      .map((box) => ({ box, from: units(box.place.start), to: units(box.place.end) }));
    this.controls = [...drawn.counters, ...drawn.inputs].filter((one) => one.place && !one.place.file)
      .map((one) => ({ from: units(one.place.start), to: units(one.place.end), text: T.message.shown(one.shown ?? one.value) }));
  }

  /** Mark the source of a box, or of one of its characters where it is literal text. */
  markBox(box, char) {
    this.hero.mark([[box, char]]);
    const found = this.boxes.find((one) => one.box === box || (one.box.first === box.first && one.box.line === box.line));
    if (!found) return;
    const exact = char >= 0 && isPlain(found, this.editor.text);
    const from = exact ? found.from + 1 + char : found.from;
    this.editor.mark(from, exact ? from + 1 : found.to);
  }

  /** Mark the drops of what the cursor stands in. */
  markCaret(at) {
    const found = this.boxes.filter((one) => one.from <= at && at <= one.to);
    const text = this.editor.text;
    this.hero.mark(found.map((one) => [one.box, isPlain(one, text) ? charAt(one, at) : -1]));
    this.editor.mark(0, 0);
  }

  /** What a field prints, for the pointer. */
  hover(at) {
    const found = this.boxes.find((one) => one.from <= at && at < one.to);
    if (found) return { from: found.from, to: found.to, text: T.message.shown(`"${found.box.text}"`) };
    return (this.controls ?? []).find((one) => one.from <= at && at < one.to);
  }

  /** Go to a place of the source. */
  go(place) {
    if (!place || place.file) return;
    const units = toUnits(this.editor.text);
    this.editor.go(units(place.start), units(place.end));
  }

  /** Write that a rule's findings are accepted, before the end of the message. */
  silence(rule, because, message) {
    const text = this.editor.text;
    const begin = Math.max(0, text.search(new RegExp(`message\\s+${message}\\b`)));
    const end = closing(text, begin);
    const reason = because.replace(/[\\"]/g, (char) => `\\${char}`);
    this.editor.put(end, end, `\n  silence ${rule} because "${reason}"\n`);
  }
}

/** Whether a box is a literal text without escapes, each character of which stands in the source. */
function isPlain(one, text) {
  return !one.box.name && text.slice(one.from + 1, one.to - 1) === one.box.text;
}

function charAt(one, at) {
  return Math.max(0, Math.min(one.box.text.length - 1, at - one.from - 1));
}

/** Where the brace lies that ends the statement beginning at a place. */
function closing(text, begin) {
  let depth = 0;
  for (const found of text.slice(begin).matchAll(/#[^\n]*|"(?:[^"\\\n]|\\.)*"|[{}]/g)) {
    if (found[0] === "{") depth += 1;
    if (found[0] === "}" && --depth === 0) return begin + found.index;
  }
  return text.length;
}
