// The record as a table, the latest first.

import { find, grams, make } from "./dom.js";

// A night's rows would make the page heavier and heavier: the file has all of them.
const SHOWN = 60;

const cell = (words) => make("td", {}, words);

function row(entry) {
  const by = entry.by === "watched" ? " (watched)" : "";
  if (entry.kind === "drink") {
    const holds = `${entry.volume_ml.toFixed(0)} ml, ${entry.abv_percent.toFixed(1)} % vol, `
      + `${entry.ethanol_g.toFixed(1)} g alcohol`;
    return make("tr", { class: "drink" }, cell(`${entry.drink}${by}`),
      make("td", { colspan: 3 }, holds), cell("done"));
  }
  const sign = entry.error_g > 0 ? "+" : "";
  return make("tr", {}, cell(`${entry.liquid}${by}`), cell(grams(entry.target_g, 2)),
    cell(`${grams(entry.poured_g, 2)} \u00b1 ${entry.sigma_g.toFixed(2)}`),
    cell(`${sign}${grams(entry.error_g, 2)}`), cell(entry.verdict));
}

export function makeRecord() {
  const rows = find("rows");
  return {
    show(list) {
      rows.replaceChildren(...list.slice(-SHOWN).map(row).reverse());
      if (list.length > SHOWN) {
        const older = `${list.length - SHOWN} older rows are in the file.`;
        rows.append(make("tr", {}, make("td", { colspan: 5, class: "quiet" }, older)));
      }
      if (list.length === 0) {
        rows.append(make("tr", {}, make("td", { colspan: 5, class: "quiet" }, "Nothing poured yet.")));
      }
    },
  };
}
