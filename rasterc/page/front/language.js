/** The message language for the editor: its colours. */
import { HighlightStyle, StreamLanguage, syntaxHighlighting } from "@codemirror/language";
import { tags } from "@lezer/highlight";

const STARTS = new Set(
  ("use message raster font language spacing gap clock shift counter input table text check block line picture symbol " +
    "require expect silence").split(" "),
);
const WORD = /^[\p{L}][\p{L}\p{N}_-]*/u;

/** Ten rules: comments, texts, numbers, words that begin a statement, fields with their arguments. */
const mode = {
  name: "rasterc",
  startState: () => ({ field: false }),
  token(stream, state) {
    if (stream.eatSpace()) return null;
    if (stream.match(/^#.*/)) return "comment";
    if (stream.match(/^"(?:[^"\\]|\\.)*"?/)) return "string";
    if (stream.match(/^\d[\d:-]*/)) return "number";
    if (stream.match(/^\(/)) return (state.field = true), "bracket";
    if (stream.match(/^\)/)) return (state.field = false), "bracket";
    const word = stream.match(WORD);
    if (word) return state.field ? "atom" : STARTS.has(word[0]) ? "keyword" : "variableName";
    stream.next();
    return "operator";
  },
  languageData: { commentTokens: { line: "#" }, closeBrackets: { brackets: ["(", "{", '"'] } },
};

const colours = HighlightStyle.define([
  { tag: tags.keyword, color: "var(--keyword)" },
  { tag: tags.string, color: "var(--string)" },
  { tag: tags.comment, color: "var(--comment)", fontStyle: "italic" },
  { tag: tags.atom, color: "var(--name)" },
  { tag: tags.number, color: "var(--name)" },
]);

export const language = [StreamLanguage.define(mode), syntaxHighlighting(colours)];

/** Names that a text declares, by kind. */
export function declared(text) {
  const found = {};
  for (const [, kind, name] of text.matchAll(/^\s*(clock|shift|counter|input|table|text|check)\s+([\p{L}][\p{L}\p{N}_-]*)/gmu)) {
    (found[kind] ??= []).push(name);
  }
  return found;
}
