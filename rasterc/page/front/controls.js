/** Counters and inputs as small controls with their limits. */
import { h, put } from "./dom.js";
import { T } from "./texts.js";

export class Controls {
  /** @param {(kind: "counters"|"inputs", name: string, value: any) => void} chosen */
  constructor(chosen) {
    this.chosen = chosen;
    this.element = h("div.values");
    this.made = new Map();
  }

  /** Show the controls of a print; those that are there stay, so that nobody loses the focus. */
  show(drawn) {
    const wanted = [...drawn.counters.map((one) => ["counters", one]), ...drawn.inputs.map((one) => ["inputs", one])];
    const rows = wanted.map(([kind, one]) => this.row(kind, one));
    const keys = wanted.map(([kind, one]) => `${kind} ${one.name}`).join("\n");
    if (keys !== this.keys) put(this.element, rows.length ? rows : h("p.quiet", { text: T.message.noValues }));
    this.keys = keys;
  }

  row(kind, one) {
    const key = `${kind} ${one.name}`;
    const shape = JSON.stringify([one.least, one.greatest, one.step, one.choices, one.pattern, one.most]);
    let row = this.made.get(key);
    if (!row || row.shape !== shape) {
      row = { shape, ...(kind === "counters" ? this.counter(one) : this.input(one)) };
      this.made.set(key, row);
      this.keys = undefined;
    }
    row.update(one);
    return row.element;
  }

  counter(one) {
    const id = `counter-${one.name}`;
    const limits = { min: one.least, max: one.greatest, step: one.step };
    const send = (value) => Number.isSafeInteger(value) && this.chosen("counters", one.name, value);
    const number = h("input", { type: "number", id, ...limits, oninput: () => send(number.valueAsNumber) });
    const slide = h("input", { type: "range", ...limits, "aria-label": one.name, oninput: () => send(slide.valueAsNumber) });
    const shown = h("span.shown");
    const element = h("div.value", {}, h("label", { for: id, text: one.name }), number, slide,
      h("span.limits", { text: T.message.counter(one.least, one.greatest, one.step) }), shown);
    const update = (now) => {
      if (document.activeElement !== number) number.value = now.value;
      slide.value = now.value;
      slide.setAttribute("aria-valuetext", now.shown);
      shown.textContent = T.message.shown(now.shown);
    };
    return { element, update };
  }

  input(one) {
    const id = `input-${one.name}`;
    const send = () => this.chosen("inputs", one.name, field.value);
    const field = one.choices.length
      ? h("select", { id, onchange: send }, ...one.choices.map((text) => h("option", { value: text, text })))
      : h("input", { type: "text", id, maxLength: one.most, autocomplete: "off", spellcheck: false, oninput: send });
    const made = h("span.shown");
    const limits = h("span.limits", { text: one.choices.length ? "" : T.message.input(one) });
    const element = h("div.value", {}, h("label", { for: id, text: one.name }), field, limits, made);
    const update = (now) => {
      if (document.activeElement !== field) field.value = now.value;
      made.textContent = now.made_up ? T.message.madeUp : "";
    };
    return { element, update };
  }
}
