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
    put(this.element, likely && action(`${T.home.trace} ⏎`, () => this.ask(text)));
  }

  async ask(text) {
    const lines = text.split("/").map((line) => line.trim()).filter(Boolean);
    if (!lines.length) return;
    put(this.element, h("p.working", { text: T.home.tracing }));
    try {
      const found = await this.wire.ask("find", { lines });
      put(this.element, h("p", { text: T.home.traced(found.length) }), h("ul", {}, ...found.map(match)));
    } catch (error) {
      if (!(error instanceof Dropped)) put(this.element, h("p.fault", { text: error.message }));
    }
  }
}

function match(found) {
  return h("li", {}, h("a", { href: addressOf(found), text: found.message }), ` ${found.line} `, found.said);
}
