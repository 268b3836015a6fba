/** The page: opens the wire, and shows the home or a message. */
import { h, put, voice } from "./dom.js";
import { Home } from "./home.js";
import { Message } from "./message.js";
import { T } from "./texts.js";
import { Wire } from "./wire.js";

/** The token: out of the address it was opened with, and kept for this tab. */
function token() {
  const given = location.hash.slice(1);
  if (given && !given.startsWith("/")) {
    sessionStorage.setItem("token", given);
    history.replaceState(null, "", "/#/");
  }
  return sessionStorage.getItem("token") ?? "";
}

class Page {
  constructor(wire) {
    this.wire = wire;
    this.sheet = document.getElementById("sheet");
    this.banner = h("p.banner", { role: "alert", hidden: true });
    document.body.prepend(this.banner);
    wire.on("gone", (refused) => this.say(refused ? T.refused : T.gone));
    wire.on("plant", (plant) => this.begin(plant));
    window.addEventListener("hashchange", () => this.route());
  }

  say(text) {
    this.banner.hidden = !text;
    this.banner.textContent = text;
  }

  begin(plant) {
    const before = this.plant;
    this.plant = plant;
    this.say("");
    if (!before) {
      this.home = new Home(this.wire, plant);
      this.route();
    } else {
      voice(T.back);
      this.home.refresh();
    }
  }

  async route() {
    if (!this.home) return;
    const [, kind, ...parts] = location.hash.split("/");
    if (this.message && !(await this.message.mayLeave())) {
      history.replaceState(null, "", this.here);
      return;
    }
    this.message?.leave();
    this.message = undefined;
    this.here = location.hash;
    if (kind === "message") this.open(parts.map(decodeURIComponent));
    else this.show(this.home.element, this.plant.name), this.home.shown();
  }

  open([file, message, line, shown]) {
    this.message = new Message(this.wire, this.plant, { file, message, line });
    if (shown) Object.assign(this.message, JSON.parse(shown));
    this.show(this.message.element, message || file);
    this.message.begin();
  }

  show(element, title) {
    document.title = `${title} - rasterc`;
    put(this.sheet, element);
    window.scrollTo(0, 0);
    const heading = element.querySelector("h1");
    if (heading) heading.focus({ preventScroll: true });
  }
}

const given = token();
if (given) new Page(new Wire(given));
else put(document.getElementById("sheet"), h("p.banner", { text: T.noToken }));
