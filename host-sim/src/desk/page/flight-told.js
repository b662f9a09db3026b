// A flight being built, and what it came to.

import { button, find, make, say } from "./dom.js";

const FINDINGS = { alike: "alike", apart: "not alike", unsure: "cannot be told" };

const number = (value, digits) => value.toFixed(digits);
// Rounded up: nothing is known exactly.
const sigma = (value) => number(Math.ceil(value * 10) / 10, 1);

function row(glass) {
  const { holds } = glass;
  const cells = holds
    ? [holds.shared_ml > 0
      ? `${number(holds.shared_ml, 1)} \u00b1 ${sigma(holds.shared_sigma_ml)}` : "\u2013",
      number(holds.volume_ml, 0), number(holds.abv_percent, 1), number(holds.sugar_g_per_l, 0),
      holds.dilution_percent === null ? "\u2013" : number(holds.dilution_percent, 0)]
    : [];
  const what = glass.variant ?? "covered";
  const state = glass.built ? "built" : "to be built";
  return make("tr", { "data-built": glass.built }, make("th", { scope: "row" }, glass.glass), make("td", {}, what),
    ...(holds ? cells.map((it) => make("td", { class: "figure" }, it)) : [make("td", { colspan: 5 }, state)]));
}

function fair(what, unit, found) {
  if (!found) return make("li", {}, `${what}: not known of every glass`);
  const finding = FINDINGS[found.finding];
  return make("li", {}, `${what}: ${number(found.spread, 1)} \u00b1 ${sigma(found.sigma)} ${unit} `
    + `apart, may be ${number(found.within, 1)}: `, make("b", {}, finding));
}

function words(flight) {
  const built = flight.glasses.filter((glass) => glass.built).length;
  const all = flight.glasses.length;
  const of = `${flight.drink}, \u201c${flight.changes}\u201d changed. `;
  const batch = flight.unbatched ? `Every glass is built whole: ${flight.unbatched}. `
    : flight.portion_g === null ? "Every glass is built whole. "
      : flight.batch_made ? `The batch is made: pour ${number(flight.portion_g, 1)} g of it into each. `
        : `The batch first: ${number(flight.portion_g, 1)} g of it will go into each glass. `;
  const serve = flight.serve_ml ? `Strain ${number(flight.serve_ml, 0)} ml into each. ` : "";
  if (!flight.complete) {
    const looks = flight.blind ? "The panel tells whoever builds; whoever tastes looks away. "
      : "";
    return `${of}${batch}${serve}${built} of ${all} glasses built. ${looks}`;
  }
  return of + (flight.revealed ? "All glasses are built." : "All glasses are built. Taste them, "
    + "write down which is best, then have it told what is in which.");
}

export function makeFlightTold(send) {
  const box = find("flight-told");
  const heads = ["glass", "what changes", "shared ml", "served ml", "% vol", "sugar g/l", "dilution %"];
  find("flight-head").append(make("tr", {}, ...heads.map((it) => make("th", { scope: "col" }, it))));

  const reveal = button("Tell what is in which", () => send({ do: "reveal" }),
    { class: "chief", id: "reveal" });
  const again = button("Order what is missing", () => send({ do: "afresh", drink: null }));
  const away = button("Back to the house's own sheet", () => send({ do: "house" }), { id: "house-again" });
  find("flight-does").append(reveal, again, away);

  return {
    show(flight) {
      box.hidden = !flight;
      if (!flight) return;
      say(find("flight-now"), words(flight));
      find("flight-rows").replaceChildren(...flight.glasses.map(row));
      const found = flight.fairness;
      find("flight-fair").replaceChildren(...(found ? [
        fair("Shared part", "ml", found.shared_ml),
        fair("Dilution", "points", found.dilution_percent),
        fair("Served", "ml", found.served_ml),
      ] : []));
      reveal.hidden = flight.revealed || !flight.complete;
      again.hidden = flight.complete;
    },
  };
}
