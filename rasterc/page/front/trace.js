/** A code read off a pack: which message, line, moment and counter could have printed it. */
import { action, h, put } from "./dom.js";
import { addressOf } from "./address.js";
import { T } from "./texts.js";
import { Dropped } from "./wire.js";

export class Trace {
  constructor(wire) {
    this.wire = wire;
    this.element = h("div.trace", { "aria-live": "polite" });
  }

  /** Offer to look for a code, when it could be one. */
  offer(text) {
    if (text === this.code) return;
    this.code = text;
    const likely = text.includes("?") || text.trim().length >= 6;
    put(this.element, likely && action(T.home.trace, () => this.ask(text)));
  }

  /** Look for a code; a slash stands between its lines. */
  async ask(text) {
    const lines = text.split(" / ").map((line) => line.trim()).filter(Boolean);
    if (!lines.length) return;
    put(this.element, h("p.working", { text: T.home.tracing }));
    try {
      const found = await this.wire.ask("find", { lines });
      if (text === this.code) this.show(found);
    } catch (error) {
      if (!(error instanceof Dropped)) put(this.element, h("p.fault", { text: error.message }));
    }
  }

  show({ hits, close, unsure, messages }) {
    put(this.element, h("p", { text: T.home.traced(hits.length, messages) }), h("ul.hits", {}, ...hits.map(hit)),
      close.length && h("p", { text: T.home.close }), h("ul.hits", {}, ...close.map(hit)),
      unsure.length && h("details", {}, h("summary", { text: T.home.unsure(unsure.length) }), ...unsure.map((text) => h("p.quiet", { text }))));
  }
}

function hit(found) {
  const [first, ...more] = found.moments;
  const more_said = more.map((one) => h("span.quiet", {}, h("a", { href: addressOf(found, one), text: one.said }), " "));
  return h("li", {}, h("a", { href: addressOf(found, first), text: found.message }),
    ` ${[found.line, first?.said, found.misread].filter(Boolean).join(", ")} `, ...more_said);
}
