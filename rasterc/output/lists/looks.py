"""The style sheet and the script of a list."""

STYLE = """
:root { color-scheme: light dark; --ink: #1b1d22; --dim: #565b66; --paper: #fbfaf7;
  --edge: #d9d6cd; --bad: #a3151c; --warn: #8a4b00; --good: #1c6b34; --note: #1d5a8c; }
@media (prefers-color-scheme: dark) { :root { --ink: #eceae4; --dim: #a9adb6; --paper: #16181c;
  --edge: #363a42; --bad: #ff8d87; --warn: #f0b268; --good: #83d39a; --note: #8fc3ee; } }
* { box-sizing: border-box; }
body { margin: 0; padding: 1rem clamp(.8rem, 3vw, 2.5rem) 3rem; background: var(--paper);
  color: var(--ink); font: 1rem/1.45 system-ui, sans-serif; }
h1 { margin: 0; font-size: 1.5rem; }
h2 { margin: 0; font-size: 1.05rem; overflow-wrap: anywhere; }
p { margin: .15rem 0; overflow-wrap: anywhere; }
header > p, .what p, pre { color: var(--dim); }
form { display: flex; flex-wrap: wrap; gap: .5rem 1.2rem; align-items: center; margin: .8rem 0 0; }
form[hidden] { display: none; }
label { display: flex; gap: .5rem; align-items: center; max-width: 100%; }
input, select { font: inherit; color: inherit; background: var(--paper); min-width: 0;
  border: 1px solid var(--dim); border-radius: .3rem; padding: .25rem .5rem; max-width: 100%; }
ol { list-style: none; margin: 1rem 0 0; padding: 0; }
li { display: grid; grid-template-columns: minmax(0, 15rem) minmax(0, 1fr) minmax(0, 17rem);
  gap: .4rem 1.5rem; padding: .9rem 0; border-top: 1px solid var(--edge);
  content-visibility: auto; contain-intrinsic-size: auto 8rem; }
li[hidden] { display: none; }
.what p { font-size: .9rem; }
.line { color: var(--ink); font-weight: 600; }
.drops svg { display: block; max-width: 100%; height: auto; border-radius: .25rem;
  outline: 1px solid var(--edge); }
pre { margin: .35rem 0 0; font: .85rem/1.35 ui-monospace, monospace; white-space: pre-wrap;
  overflow-wrap: anywhere; }
b.broken, b.errors { color: var(--bad); } b.warnings { color: var(--warn); }
b.notes { color: var(--note); } b.good { color: var(--good); } b.unknown { color: var(--dim); }
@media (max-width: 60rem) { li { grid-template-columns: minmax(0, 1fr); } }
@media print { form { display: none; } li { break-inside: avoid; } }
"""

SCRIPT = """
const form = document.querySelector('form'), items = [...document.querySelectorAll('li')];
const at = id => document.getElementById(id);
const texts = items.map(item => item.textContent.toLowerCase());
function narrow() {
  const words = at('words').value.toLowerCase().split(/\\s+/).filter(Boolean);
  let shown = 0;
  items.forEach((item, n) => {
    const wanted = words.every(word => texts[n].includes(word))
      && (!at('line').value || item.dataset.line === at('line').value)
      && (!at('state').value || item.dataset.state === at('state').value);
    item.hidden = !wanted;
    shown += wanted;
  });
  at('shown').value = `${shown} of ${items.length}`;
  at('none').hidden = shown > 0;
}
form.hidden = false;
form.addEventListener('input', narrow);
form.addEventListener('submit', event => event.preventDefault());
narrow();
"""
