/** The state of a message: a word, and a shape that tells it without colour. */
import { h, s } from "./dom.js";
import { T } from "./texts.js";

const PATHS = {
  clean: "M2 8.5l4 4 8-9",
  note: "M8 1.5a6.5 6.5 0 1 0 .01 0zM8 7v5M8 4v.6",
  warning: "M8 1.5L15 14H1zM8 6v4M8 12v.4",
  error: "M5 1.5h6l3.5 3.5v6L11 14.5H5L1.5 11V5zM8 4v5M8 11v.6",
  broken: "M2.5 2.5l11 11M13.5 2.5l-11 11",
  unseen: "M8 2v.1M12.2 3.8v.1M14 8v.1M12.2 12.2v.1M8 14v.1M3.8 12.2v.1M2 8v.1M3.8 3.8v.1",
};

/** The order in which states are sorted, the worst first. */
export const ORDER = ["broken", "error", "warning", "note", "unseen", "clean"];

/** @param {string} state @returns {any} its shape */
export function shape(state) {
  const path = s("path", { d: PATHS[state] ?? PATHS.unseen });
  return s("svg", { viewBox: "0 0 16 16", class: `shape ${state}`, "aria-hidden": "true" }, path);
}

/** @param {any} entry @returns {string} the name of an entry's state */
export function stateOf(entry) {
  if (!entry.drops || entry.faults.length) return "broken";
  const known = entry.state?.state;
  return !known || known === "unknown" ? "unseen" : known;
}

/** How many findings there are, in words. */
export function counted(state) {
  const parts = [
    [state.errors, T.error, T.errors],
    [state.warnings, T.warning, T.warnings],
    [state.notes, T.note, T.notes],
  ];
  return parts.filter(([n]) => n).map(([n, one, many]) => `${n} ${n === 1 ? one : many}`).join(", ");
}

/** The state of an entry in words with its shape. */
export function stateLine(entry) {
  const state = stateOf(entry);
  const words = ["clean", "unseen", "broken"].includes(state) ? T.states[state] : counted(entry.state);
  return h(`span.state.${state}`, {}, shape(state), h("span", { text: words }));
}
