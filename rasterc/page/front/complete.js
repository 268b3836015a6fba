/** What can stand at a place of a message, with what it does or prints. */
import { autocompletion } from "@codemirror/autocomplete";
import { declared } from "./language.js";

/**
 * @param {() => any} words the vocabulary of the server; undefined until it is there
 */
export function completion(words) {
  return autocompletion({ override: [(context) => complete(context, words())], icons: false });
}

function complete(context, words) {
  if (!words) return null;
  const line = context.state.doc.lineAt(context.pos);
  const before = line.text.slice(0, context.pos - line.from);
  const names = declared(context.state.doc.toString());
  const [start, options] = choose(before, names, words) ?? [];
  const typed = before.match(/[\p{L}\p{N}_.-]*$/u)[0];
  if (!options || (!typed && !context.explicit && !/[(,]\s*$/.test(before))) return null;
  return { from: context.pos - (start ?? typed.length), options, validFor: /^[\p{L}\p{N}_.-]*$/u };
}

const term = (type) => ({ text, said }) => ({ label: text, detail: said, type });
const plain = (type) => (text) => ({ label: text, type });

/** The options for what stands before the cursor; with how far back they begin, if not at a word. */
function choose(before, names, words) {
  const field = before.match(/([\p{L}][\p{L}\p{N}_-]*)\(([^()]*)$/u);
  if (field) return [undefined, inField(field[1], field[2], names, words)];
  const has = (pattern) => pattern.test(before);
  if ((before.match(/"/g)?.length ?? 0) % 2) return undefined;
  if (has(/^\s*silence\s+\S*$/)) return [undefined, words.rules.map(term("rule"))];
  if (has(/^\s*require\s+\S*$/)) return [undefined, words.measures.map(term("measure"))];
  if (has(/\bfont\s+\S*$/)) return [undefined, words.fonts.map(plain("font"))];
  if (has(/^\s*check\s+\S+\s*=\s*\S*$/)) return [undefined, words.algorithms.map(plain("check"))];
  if (has(/^\s*language\s+\S*$/)) return [undefined, words.languages.map(plain("language"))];
  if (has(/^\s*(block\s*\{\s*)?line\b[^:]*$/)) return [undefined, words.attributes.map(term("attribute"))];
  if (has(/(line\b[^:]*:|text\s+\S+\s*=)/)) return [undefined, fields(names)];
  if (has(/^\s*(clock|counter)\b.*[+,=-]/)) return [undefined, [...names.clock ?? [], ...words.steps].map(plain("step"))];
  return [undefined, words.statements.map(plain("statement"))];
}

function inField(name, inside, names, words) {
  const first = !inside.includes(",");
  if (first && names.clock?.includes(name)) return words.patterns.map(term("date"));
  if (first && names.counter?.includes(name)) return [plain("width")("0000")];
  const tables = (names.table ?? []).map((one) => ({ label: `table ${one}`, type: "option" }));
  return [...words.options.map(term("option")), ...tables];
}

function fields(names) {
  const kinds = ["clock", "shift", "counter", "input", "text", "check"];
  return kinds.flatMap((kind) => (names[kind] ?? []).map((label) => ({ label, detail: kind, type: "name" })));
}
