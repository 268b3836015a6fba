/** Small helpers for elements; nothing here knows what the page is about. */

/**
 * Make an element.
 * @param {string} tag its name, with classes behind dots: "p.note"
 * @param {Object<string, any>} [given] attributes; `on...` are listeners, `text` its text
 * @param {...(Node|string|null|undefined|false)} children what it holds
 * @returns {any}
 */
export function h(tag, given = {}, ...children) {
  const [name, ...classes] = tag.split(".");
  const made = document.createElement(name);
  if (classes.length) made.className = classes.join(" ");
  give(made, given);
  fill(made, children);
  return made;
}

const SVG = "http://www.w3.org/2000/svg";

/** As `h`, in SVG. */
export function s(tag, given = {}, ...children) {
  const made = document.createElementNS(SVG, tag);
  give(made, given);
  fill(made, children);
  return made;
}

function give(element, given) {
  for (const [name, value] of Object.entries(given)) {
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (name === "text") element.textContent = value;
    else if (name in element && typeof value !== "string" && name !== "list") element[name] = value;
    else if (value !== null && value !== undefined && value !== false) {
      element.setAttribute(name, value === true ? "" : String(value));
    }
  }
}

function fill(element, children) {
  for (const child of children.flat()) if (child || child === 0) element.append(child);
}

/** Put these children into an element, and nothing else. */
export function put(element, ...children) {
  element.replaceChildren(...children.flat().filter((one) => one || one === 0));
}

/** A word that can be pressed. */
export function action(text, onclick, given = {}) {
  return h("button.word", { type: "button", onclick, text, ...given });
}

/** Have a list gone through with arrow keys; one of its items at a time can be tabbed to. */
export function rove(list, items) {
  const all = items();
  all.forEach((item, at) => (item.tabIndex = at === 0 ? 0 : -1));
  list.onkeydown = (event) => {
    const step = { ArrowDown: 1, ArrowUp: -1, PageDown: 8, PageUp: -8 }[event.key];
    const ends = { Home: 0, End: Infinity }[event.key];
    const now = items();
    const at = now.indexOf(document.activeElement);
    if (at < 0 || (step === undefined && ends === undefined)) return;
    event.preventDefault();
    const next = Math.max(0, Math.min(now.length - 1, ends ?? at + step));
    now[at].tabIndex = -1;
    now[next].tabIndex = 0;
    now[next].focus();
  };
}

/** Say something to those who listen to the page. */
export function voice(text) {
  document.getElementById("voice").textContent = text;
}

/** A dialogue with a heading; the answer is what `close` is given. */
export function dialogue(title, ...children) {
  return new Promise((answer) => {
    const id = `title-${Math.random().toString(36).slice(2)}`;
    const box = h("dialog", { "aria-labelledby": id }, h("h2", { id, text: title }));
    const close = (value) => {
      box.remove();
      answer(value);
    };
    fill(box, children.map((child) => (typeof child === "function" ? child(close) : child)));
    box.addEventListener("cancel", () => close(null));
    document.body.append(box);
    box.showModal();
  });
}
