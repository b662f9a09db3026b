// The panel, pixel for pixel: 1024 bytes, eight rows to a strip, the lowest bit on top.

import { find } from "./dom.js";

const WIDE = 128;
const HIGH = 64;

export function makePanel() {
  const context = find("panel").getContext("2d");
  const image = context.createImageData(WIDE, HIGH);
  let colours = [[8, 16, 17], [227, 244, 236]];
  let shown = "";

  function draw() {
    for (let at = 0; at * 2 < shown.length; at += 1) {
      const byte = Number.parseInt(shown.slice(2 * at, 2 * at + 2), 16);
      const left = at % WIDE;
      const top = Math.floor(at / WIDE) * 8;
      for (let bit = 0; bit < 8; bit += 1) {
        const [red, green, blue] = colours[(byte >> bit) & 1];
        image.data.set([red, green, blue, 255], 4 * ((top + bit) * WIDE + left));
      }
    }
    context.putImageData(image, 0, 0);
  }

  return {
    show(hex) {
      shown = hex;
      draw();
    },
    recolour() {
      const style = getComputedStyle(document.documentElement);
      colours = ["--panel-dark", "--panel-lit"].map((name) => channels(style.getPropertyValue(name)));
      draw();
    },
  };
}

function channels(hex) {
  const digits = hex.trim().slice(1);
  return [0, 2, 4].map((at) => Number.parseInt(digits.slice(at, at + 2), 16));
}
