/** Starting points of our own: a message out of what a form asks for. */

/** Date forms to choose from: the pattern, and whether it is written in capitals. */
export const FORMS = {
  "dd MMM yyyy": "dd MMM yyyy, upper", "dd/MM/yy": "dd/MM/yy", "dd.MM.yyyy": "dd.MM.yyyy", "MMM yyyy": "MMM yyyy, upper", "yyyy-MM-dd": "yyyy-MM-dd",
};
const SHIFTS = {
  none: "",
  three: '  shift crew of made {\n    "A" from 06:00\n    "B" from 14:00\n    "C" from 22:00\n  }\n',
  two: '  shift crew of made {\n    "D" from 06:00\n    "N" from 18:00\n  }\n',
};

const text = (value) => `"${value.replace(/[\\"]/g, (char) => `\\${char}`)}"`;

/**
 * The source of a new message.
 * @param {{kind: string, name: string, lead: string, form: string, life: number, unit: string, shift: string, zone: string, product: string}} given
 */
export function sourceOf(given) {
  const body = BODIES[given.kind](given);
  const clock = given.kind === "serial" ? "" : `  clock made in ${text(given.zone)}\n`;
  return `message ${given.name} {\n${body.head}\n${clock}${body.declares}\n${body.block}}\n`;
}

const RASTER = { one: [9, 9], two: [16, 7], metre: [5, 5], lot: [16, 7], serial: [12, 12] };

function head(kind, font = `upright-${RASTER[kind][1]}`) {
  return `  raster ${RASTER[kind][0]}\n  font ${font}\n`;
}

const best = (given) => `  clock best = made + ${given.life} ${given.unit}\n`;
const date = (given) => `${text(`${given.lead.trim()} `)} best(${FORMS[given.form]})`;
const crew = (given) => (given.shift === "none" ? "" : " crew");

const BODIES = {
  one: (given) => ({
    head: head("one"), declares: best(given) + SHIFTS[given.shift],
    block: `  block { line: ${date(given)}${crew(given) && ' " " crew'} }\n`,
  }),
  two: (given) => ({
    head: head("two"), declares: `${best(given)}${SHIFTS[given.shift]}  counter pack from 1 to 9999, restart daily of made, at end wrap\n`,
    block: `  block {\n    line: ${date(given)}\n    line: "L" made(yyDDD)${crew(given)} " " made(HH:mm) " " pack(0000)\n  }\n`,
  }),
  metre: (given) => ({
    head: head("metre"), declares: "  counter metre from 0 to 99999, at end stop\n",
    block: `  block { line: ${text(`${given.product.trim()} `)} made(YYYY'W'ww) " " metre(00000) "M" }\n`,
  }),
  lot: (given) => ({
    head: head("lot"), declares: `${best(given)}  input lot matching "[A-Z]{2}[0-9]{4}"\n`,
    block: `  block {\n    line: "LOT " lot\n    line: ${date(given)}\n  }\n`,
  }),
  serial: () => ({
    head: head("serial", "tall-12"), declares: '  counter serial from 1 to 9999999, at end stop\n  text body = serial(00000000)\n  check digit = gs1-mod10 of body\n',
    block: `  block { line: "NO " body digit }\n`,
  }),
};
