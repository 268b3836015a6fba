/** Drops on a canvas, from strokes as integers: bit 0 of each is the lowest row. */

/**
 * @typedef {{bits: number[], raster: number, sizes: any, lines: string[], boxes: any[],
 *            length_mm: number|null, height_mm: number|null}} Drops
 */

/**
 * Where drops stand on a canvas.
 * @param {Drops} drops
 * @param {number} stroke CSS pixels from stroke to stroke
 * @param {{left: number, top: number}} edge what is left free
 */
export function grid(drops, stroke, edge) {
  const sizes = drops.sizes;
  const scale = stroke / sizes.stroke_mm;
  const row = sizes.row_mm * scale;
  const lean = (sizes.travel_mm * scale) / Math.max(1, drops.raster - 1);
  const radius = Math.max(0.7, (sizes.dot_mm * scale) / 2);
  const left = edge.left + radius + Math.max(0, -lean * (drops.raster - 1));
  return {
    stroke, row, lean, radius, scale, left,
    base: edge.top + radius + (drops.raster - 1) * row,
    width: left + (drops.bits.length - 1) * stroke + radius + Math.max(0, lean * (drops.raster - 1)) + edge.left,
    x: (at, r) => left + at * stroke + r * lean,
    y: (r) => edge.top + radius + (drops.raster - 1 - r) * row,
  };
}

/** Set a canvas to a size in CSS pixels, sharp on this screen; gives its context. */
export function sized(canvas, width, height) {
  const dense = Math.min(3, window.devicePixelRatio || 1);
  canvas.width = Math.ceil(width * dense);
  canvas.height = Math.ceil(height * dense);
  canvas.style.width = `${Math.ceil(width)}px`;
  canvas.style.height = `${Math.ceil(height)}px`;
  const context = canvas.getContext("2d");
  context.scale(dense, dense);
  return context;
}

/** Draw all drops in one colour. */
export function drawDrops(context, drops, place, colour) {
  context.fillStyle = colour;
  context.beginPath();
  drops.bits.forEach((column, at) => {
    for (let r = 0, bits = column; bits; r += 1, bits >>= 1) {
      if (bits & 1) {
        const x = place.x(at, r);
        context.moveTo(x + place.radius, place.y(r));
        context.arc(x, place.y(r), place.radius, 0, 7);
      }
    }
  });
  context.fill();
}

/** A colour of the page by its name in the style sheet. */
export function colour(name) {
  return getComputedStyle(document.documentElement).getPropertyValue(`--${name}`).trim();
}

/** Draw a print small, as wide as it may be. */
export function drawSmall(canvas, drops, most) {
  const stroke = Math.min(3.4, most / (drops.bits.length + 2));
  const place = grid(drops, stroke, { left: 2, top: 2 });
  const context = sized(canvas, place.width, place.base + place.radius + 2);
  drawDrops(context, drops, place, colour("ink"));
}
