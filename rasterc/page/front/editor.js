/** The editor of a message's source. */
import { closeBrackets, closeBracketsKeymap, completionKeymap } from "@codemirror/autocomplete";
import { defaultKeymap, history, historyKeymap, isolateHistory, redo, undo } from "@codemirror/commands";
import { bracketMatching } from "@codemirror/language";
import { lintKeymap, setDiagnostics } from "@codemirror/lint";
import { highlightSelectionMatches, openSearchPanel, search, searchKeymap } from "@codemirror/search";
import { EditorState, StateEffect, StateField } from "@codemirror/state";
import { Decoration, EditorView, drawSelection, highlightActiveLine, hoverTooltip, keymap, lineNumbers } from "@codemirror/view";
import { completion } from "./complete.js";
import { h } from "./dom.js";
import { language } from "./language.js";
import { T } from "./texts.js";
import { toUnits } from "./units.js";

const setMark = StateEffect.define();
const marked = StateField.define({
  create: () => Decoration.none,
  update(marks, transaction) {
    let now = marks.map(transaction.changes);
    for (const effect of transaction.effects) if (effect.is(setMark)) now = decorated(effect.value);
    return now;
  },
  provide: (field) => EditorView.decorations.from(field),
});

function decorated(range) {
  return range ? Decoration.set(Decoration.mark({ class: "marked" }).range(...range)) : Decoration.none;
}

/**
 * @typedef {{changed: () => void, moved: (at: number) => void, hover: (at: number) => any,
 *            words: () => any, save: () => void}} Told
 */
export class Editor {
  /** @param {Told} told what it tells and asks */
  constructor(told) {
    this.told = told;
    this.view = new EditorView({ state: this.fresh("") });
    this.element = this.view.dom;
  }

  fresh(text) {
    const told = this.told;
    return EditorState.create({
      doc: text,
      extensions: [
        EditorView.cspNonce.of(document.querySelector("script[nonce]")?.nonce ?? ""),
        EditorView.lineWrapping, lineNumbers(), history(), drawSelection(), bracketMatching(), closeBrackets(), highlightActiveLine(),
        highlightSelectionMatches(), search({ top: true }), language, completion(told.words), marked, look,
        hoverTooltip((_, at) => hovered(told.hover(at))),
        EditorView.contentAttributes.of({ "aria-label": T.message.source, spellcheck: "false" }),
        keymap.of([{ key: "Mod-s", run: () => (told.save(), true) }, ...closeBracketsKeymap, ...defaultKeymap,
          ...searchKeymap, ...historyKeymap, ...completionKeymap, ...lintKeymap]),
        EditorView.updateListener.of((update) => {
          if (update.docChanged) told.changed();
          if (update.selectionSet && !update.docChanged) told.moved(update.state.selection.main.head);
        }),
      ],
    });
  }

  get text() {
    return this.view.state.doc.toString();
  }

  /** Begin with a text; there is nothing to undo. */
  begin(text) {
    this.view.setState(this.fresh(text));
  }

  /** Put another text in place of the present one, as one change that can be undone. */
  replace(text) {
    const old = this.text;
    if (old === text) return;
    let from = 0;
    while (from < old.length && old[from] === text[from]) from += 1;
    let end = 0;
    while (end < old.length - from && end < text.length - from && old.at(-1 - end) === text.at(-1 - end)) end += 1;
    this.view.dispatch({ changes: { from, to: old.length - end, insert: text.slice(from, text.length - end) }, annotations: isolateHistory.of("full") });
  }

  /** Put a text in a place. */
  put(from, to, insert) {
    this.view.dispatch({ changes: { from, to, insert }, selection: { anchor: from + insert.length }, annotations: isolateHistory.of("full") });
  }

  /** Mark a place, and bring it into sight. */
  mark(from, to) {
    const effects = [setMark.of(from < to ? [from, to] : null)];
    if (from < to) effects.push(EditorView.scrollIntoView(from, { y: "nearest", yMargin: 40 }));
    this.view.dispatch({ effects });
  }

  /** Go to a place, to type there. */
  go(from, to = from) {
    this.view.dispatch({ selection: { anchor: from, head: to }, scrollIntoView: true });
    this.view.focus();
  }

  /** Underline faults. */
  underline(faults) {
    const units = toUnits(this.text);
    const length = this.view.state.doc.length;
    const shown = faults.filter((one) => one.place && !one.place.file).map((one) => {
      const from = Math.min(units(one.place.start), length);
      const to = Math.max(from, Math.min(units(one.place.end), length));
      return { from, to, severity: one.severity === "note" ? "info" : one.severity, message: said(one),
        actions: one.edits.map((edit) => ({ name: T.findings.fix(edit.label), apply: () => this.apply(edit) })) };
    });
    this.view.dispatch(setDiagnostics(this.view.state, shown));
  }

  apply(edit) {
    const units = toUnits(this.text);
    this.put(units(edit.start), units(edit.end), edit.text);
    this.view.focus();
  }

  undo() { undo(this.view); }
  redo() { redo(this.view); }
  find() { openSearchPanel(this.view); }
}

function said(fault) {
  return fault.help ? `${fault.message}. ${fault.help}` : fault.message;
}

function hovered(found) {
  if (!found) return null;
  return { pos: found.from, end: found.to, above: true, create: () => ({ dom: h("div.hovered", { text: found.text }) }) };
}

const look = EditorView.theme({
  "&": { fontSize: "14.5px", background: "var(--sheet)", border: "1px solid var(--hair)" },
  "&.cm-focused": { outline: "2px solid var(--mark)", outlineOffset: "1px" },
  ".cm-scroller": { fontFamily: "var(--mono)", lineHeight: "1.55", minHeight: "300px" },
  ".cm-gutters": { background: "var(--sheet)", color: "var(--soft)", border: "0", paddingRight: "6px" },
  ".cm-activeLine, .cm-activeLineGutter": { background: "color-mix(in srgb, var(--wash) 55%, transparent)" },
  ".cm-content": { caretColor: "var(--ink)" },
  ".cm-cursor": { borderLeftColor: "var(--ink)", borderLeftWidth: "2px" },
  "&.cm-focused > .cm-scroller > .cm-selectionLayer .cm-selectionBackground, .cm-selectionBackground": { background: "color-mix(in srgb, var(--mark) 28%, transparent)" },
  ".marked": { background: "var(--wash)", boxShadow: "inset 0 -2px 0 var(--mark)" },
  ".cm-tooltip": { background: "var(--sheet)", color: "var(--ink)", border: "1px solid var(--ink)" },
  ".cm-tooltip-autocomplete > ul > li[aria-selected]": { background: "var(--wash)", color: "var(--ink)" },
  ".cm-completionDetail": { color: "var(--soft)", fontStyle: "italic", marginLeft: "1em" },
  ".cm-panels": { background: "var(--paper)", color: "var(--ink)" },
  ".cm-panels-top": { borderBottom: "1px solid var(--hair)" },
  ".cm-textfield": { background: "var(--sheet)", border: "1px solid var(--soft)" },
  ".cm-button": { background: "none", border: "1px solid var(--soft)", color: "var(--ink)" },
  ".cm-panel label": { color: "var(--ink)" },
  ".cm-searchMatch": { background: "color-mix(in srgb, var(--warning) 35%, transparent)" },
  ".cm-selectionMatch": { background: "color-mix(in srgb, var(--note) 22%, transparent)" },
  ".cm-matchingBracket, &.cm-focused .cm-matchingBracket": { background: "var(--wash)", color: "inherit" },
  ".cm-lintRange": { backgroundImage: "none", textDecorationLine: "underline", textDecorationStyle: "wavy", textUnderlineOffset: "4px", paddingBottom: "3px" },
  ".cm-lintRange-error": { backgroundImage: "none", textDecorationColor: "var(--error)" },
  ".cm-lintRange-warning": { backgroundImage: "none", textDecorationColor: "var(--warning)" },
  ".cm-lintRange-info": { backgroundImage: "none", textDecorationColor: "var(--note)" },
  ".cm-lintRange-active": { background: "var(--wash)" },
  ".cm-diagnostic": { padding: "5px 10px", fontFamily: "var(--serif)" },
  ".cm-diagnosticAction": { background: "none", color: "var(--ink)", border: "1px solid var(--mark)", borderRadius: "0", font: "inherit" },
});
