/** Bars as lines of pixels, as a camera sees them: tilted, blurred, noisy. */

/** A generator of the same numbers every time. */
export function chance(seed) {
  let state = seed;
  return () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return state / 2 ** 32;
  };
}

/** Pixels of bars `unit` wide, with quiet zones, ink that spread, blur, shade and noise. */
export function pixels(widths, { unit = 2.6, spread = 0, noise = 0, seed = 1, shade = 0 } = {}) {
  const random = chance(seed);
  const quiet = 12 * unit;
  const edges = [];
  let at = quiet + random();
  widths.forEach((width, each) => {
    edges.push(each % 2 ? at - spread : at + 0);
    at += width * unit + (each % 2 ? -spread : spread);
  });
  edges.push(at);
  const length = Math.ceil(at + quiet);
  const fine = 8;
  const dark = (x) => {
    let count = 0;
    while (count < edges.length && edges[count] <= x) count += 1;
    return count % 2 === 1;
  };
  const sharp = Array.from({ length }, (_, x) => {
    let light = 0;
    for (let part = 0; part < fine; part += 1) light += dark(x + part / fine) ? 40 : 220;
    return light / fine;
  });
  return sharp.map((_, x) => {
    const blurred = (sharp[Math.max(0, x - 1)] + 2 * sharp[x] + sharp[Math.min(length - 1, x + 1)]) / 4;
    return blurred - shade * (x / length) + (random() - 0.5) * noise;
  });
}
