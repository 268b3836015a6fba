/** A new message out of a form. */
import { action, dialogue, h, put } from "./dom.js";
import { addressOf } from "./address.js";
import { FORMS, sourceOf } from "./starts.js";
import { T } from "./texts.js";

const W = T.fresh;
const NEEDS = { one: ["dated", "shifted"], two: ["dated", "shifted"], metre: ["made"], lot: ["dated"], serial: [] };

/** Ask what a new message should be, make its file, and open it. */
export async function freshMessage(wire, lines) {
  const form = new Form(lines);
  const made = await dialogue(W.title, form.element, (close) =>
    h("p.answers", {}, action(W.make, () => make(wire, form, close)), action(T.cancel, () => close(null))));
  if (made) location.hash = addressOf(made);
}

async function make(wire, form, close) {
  const given = form.given;
  try {
    if (!/^[\p{L}][\p{L}\p{N}_-]*$/u.test(given.name)) throw new Error(`${W.name}: letters, digits, - and _`);
    const file = form.file.value.trim();
    const line = form.line.value;
    await wire.ask("create", { file, text: sourceOf(given), line });
    close({ file, message: given.name, line });
  } catch (error) {
    form.fault.textContent = error.message;
  }
}

class Form {
  constructor(lines) {
    this.lines = lines;
    this.line = pick("line", { "": T.home.all, ...Object.fromEntries(lines.map((line) => [line, line])) });
    this.kind = pick("kind", W.kinds, () => this.suit());
    this.name = box("name", "new-message", () => (this.file.value = `${this.name.value.trim()}.rasterc`));
    this.file = box("file", "new-message.rasterc");
    this.lead = box("lead", "BEST BEFORE");
    this.form = pick("form", Object.fromEntries(Object.keys(FORMS).map((form) => [form, form])));
    this.life = h("input", { type: "number", id: "fresh-life", min: 1, max: 999, value: "6" });
    this.unit = pick("unit", W.units);
    this.unit.value = "months";
    this.unit.setAttribute("aria-label", W.life);
    this.shift = pick("shift", W.shifts);
    this.zone = box("zone", Intl.DateTimeFormat().resolvedOptions().timeZone || "UTC");
    this.product = box("product", "QM-FLEX 3G1.5");
    this.fault = h("p.fault", { role: "alert" });
    this.element = h("div.form");
    this.suit();
  }

  /** Show what this kind of message needs. */
  suit() {
    const needs = NEEDS[this.kind.value];
    const rows = [["start", this.kind], ["name", this.name], ["file", this.file]];
    if (this.lines.length) rows.push(["line", this.line]);
    if (needs.includes("dated")) rows.push(["lead", this.lead], ["form", this.form], ["life", this.life, this.unit]);
    if (needs.includes("shifted")) rows.push(["shift", this.shift]);
    if (needs.includes("made")) rows.push(["product", this.product]);
    if (needs.length) rows.push(["zone", this.zone]);
    put(this.element, rows.flatMap(([label, field, ...more]) => [h("label", { for: field.id, text: W[label] }), h("span", {}, field, " ", ...more)]), this.fault);
  }

  get given() {
    const names = ["kind", "name", "lead", "form", "unit", "shift", "zone", "product"];
    const texts = Object.fromEntries(names.map((name) => [name, this[name].value.trim()]));
    return { ...texts, life: Math.max(1, this.life.valueAsNumber || 1) };
  }
}

function box(name, value, oninput = () => {}) {
  return h("input", { type: "text", id: `fresh-${name}`, value, size: 28, autocomplete: "off", spellcheck: "false", oninput });
}

function pick(name, options, onchange = () => {}) {
  return h("select", { id: `fresh-${name}`, onchange }, ...Object.entries(options).map(([value, text]) => h("option", { value, text })));
}
