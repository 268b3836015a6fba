/** Findings as cards: place, number, limit, remedy, source, and what the verdict covers. */
import { action, dialogue, h, put } from "./dom.js";
import { shape } from "./states.js";
import { T } from "./texts.js";

const F = T.findings;

export class Findings {
  /**
   * @param {{mark: (fault: any) => void, show: (fault: any) => void, explain: (rule: string) => Promise<any>,
   *          silence: (rule: string, because: string) => void, apply: (edit: any) => void}} can
   */
  constructor(can) {
    this.can = can;
    this.list = h("div.cards");
    this.said = h("p.quiet", { role: "status" });
    this.element = h("section.findings", { "aria-label": F.title }, h("h2", { text: F.title }), this.said, this.list);
    this.found = { faults: [], now: undefined, all: undefined };
  }

  /** Faults that keep the text from being printed; they stand before everything else. */
  faults(faults) {
    this.found.faults = faults;
    this.draw();
  }

  /** What the rules find at the moment, or over all values; a text where that failed. */
  take(which, looked) {
    this.found[which] = looked;
    this.draw();
  }

  /** All findings, each once. */
  get shown() {
    const { faults, now, all } = this.found;
    const known = new Set();
    const found = [...faults, ...(now?.findings ?? []), ...(all?.findings ?? [])];
    return found.filter((one) => {
      const key = `${one.code} ${one.place?.start} ${one.measured === null ? one.message : one.unit}`;
      return !known.has(key) && known.add(key);
    });
  }

  draw() {
    const { now, all, faults } = this.found;
    const shown = this.shown;
    const accepted = (all ?? now)?.silenced ?? [];
    put(this.list, shown.map((one) => this.card(one)), accepted.length ? this.accepted(accepted) : null);
    const status = all?.failed ?? (all ? `${F.covers}: ${all.said}` : faults.length ? "" : F.working);
    put(this.said, !shown.length && all && !all.failed ? `${F.none} ` : "", status);
  }

  accepted(findings) {
    return h("details.accepted", {}, h("summary", { text: F.accepted(findings.length) }), ...findings.map((one) =>
      h("p", {}, h("span", { text: `${one.title || one.code}: ${one.message}. ` }), h("em", { text: one.because }))));
  }

  card(one) {
    const more = h("div.more");
    const where = one.place && h("button.word", { type: "button", onclick: () => this.can.mark(one),
      text: one.place.file ? F.inFile(one.place.file, one.place.line) : F.where(one.place.line, one.place.column) });
    const at = one.at && `${one.at}${one.times > 1 ? `, ${F.times(one.times)}` : ""}`;
    return h(`article.card.${one.severity}`, {},
      h("h3", {}, shape(one.severity), h("span", { text: T.severities[one.severity] }), " ", h("code", { text: one.code })),
      h("p", { text: one.message }),
      one.measured !== null && one.limit !== null && h("p.numbers", { text: `${F.measured} ${number(one.measured)} ${one.unit}, ${F.limit} ${number(one.limit)} ${one.unit}` }),
      one.help && h("p.remedy", { text: one.help }),
      h("p.quiet", {}, where, at && ` ${at}`, one.covered && h("span.covered", { text: ` · ${F[one.covered] ?? ""}` })),
      h("p.acts", {}, ...one.edits.map((edit) => action(F.fix(edit.label), () => this.can.apply(edit))),
        one.at && action(F.show, () => this.can.show(one)),
        one.title && action(F.explain, () => this.explain(one.code, more)),
        one.can_be_silenced && action(F.silence, () => this.silence(one.code))),
      more);
  }

  async explain(rule, more) {
    if (more.firstChild) return put(more);
    const said = await this.can.explain(rule);
    put(more, h("p", { text: said.title }), h("p", { text: said.rationale }), h("p.quiet", { text: `${F.source}: ${said.source}` }),
      h("details", {}, h("summary", { text: F.trips }), h("pre", { tabIndex: 0, text: said.trips })),
      h("details", {}, h("summary", { text: F.passes }), h("pre", { tabIndex: 0, text: said.passes })));
  }

  async silence(rule) {
    const reason = h("input", { type: "text", id: "because", maxLength: 300, size: 44 });
    const given = await dialogue(F.because, h("label", { for: "because", text: rule }), " ", reason, (close) =>
      h("p.answers", {}, action(F.accept, () => close(reason.value.trim())), action(T.cancel, () => close(null))));
    if (given) this.can.silence(rule, given);
  }

  /** The findings as a text to keep. */
  report(heading) {
    const { all } = this.found;
    const cards = this.shown.map((one) => `${one.place ? `${one.place.line}:${one.place.column}: ` : ""}${one.severity}[${one.code}]: ${one.message}${one.at ? ` (at ${one.at})` : ""}\n  help: ${one.help}\n`);
    return [heading, "", ...cards, all?.said ?? "", ""].join("\n");
  }
}

const number = (value) => new Intl.NumberFormat("en", { maximumSignificantDigits: 5 }).format(value);
