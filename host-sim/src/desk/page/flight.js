// A flight composed: a drink, the line of it that changes, and what that line becomes.

import { find, make, say } from "./dom.js";
import { makeFlightTold } from "./flight-told.js";
import { place } from "./mistakes.js";

// Lines that something can be changed in; a strain or a note is the same in every glass.
const FIXED = /^(strain\b|note\b|note:)/i;
// A ladder to begin with: the amount as it is, and a fifth less and more.
const RUNGS = [0.8, 1, 1.2];

// `50 ml rye` as three lines with three amounts; anything else as it stands.
function ladder(line) {
  const found = /^(\s*)(\d+(?:\.\d+)?)(\s*(?:ml|cl|g|s)\b.*)$/.exec(line)
    ?? /^((?:stir|shake)\s+)(\d+(?:\.\d+)?)(.*)$/.exec(line);
  if (!found) return line;
  const [, before, figure, after] = found;
  const step = Number(figure) < 10 ? 0.5 : 1;
  const rungs = RUNGS.map((share) => Math.round((Number(figure) * share) / step) * step);
  return [...new Set(rungs)].map((rung) => `${before}${rung}${after}`).join("\n");
}

export function makeFlight(send) {
  const form = find("flight-form");
  const drink = find("flight-drink");
  const line = find("flight-line");
  const variants = find("flight-variants");
  const says = find("flight-says");
  const mistakes = find("flight-mistakes");
  const told = makeFlightTold(send);
  let drinks = [];

  const option = (value, words) => make("option", { value }, words);

  function fillLines() {
    const lines = drinks[drink.selectedIndex]?.lines.filter((it) => !FIXED.test(it)) ?? [];
    line.replaceChildren(...lines.map((it) => option(it, it)));
    fillVariants();
  }

  function fillVariants() {
    variants.value = ladder(line.value);
  }

  drink.addEventListener("change", fillLines);
  line.addEventListener("change", fillVariants);

  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    mistakes.replaceChildren();
    const asked = {
      drink: drink.value,
      changes: line.value,
      variants: variants.value,
      batch: find("flight-batch").checked,
      blind: find("flight-blind").checked,
    };
    let answer = null;
    try {
      answer = await fetch("./flight", {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: JSON.stringify(asked),
      });
    } catch {
      say(says, "The desk does not answer; the flight was not taken.");
      return;
    }
    if (!answer.ok) {
      const long = answer.status === 413 ? "it is too long" : (await answer.text()).trim();
      say(says, `The flight was not taken: ${long}`);
      return;
    }
    const taken = await answer.json();
    if (taken.glasses) {
      say(says, "");
      return;
    }
    if (taken.refused) {
      say(says, `The flight cannot be built: ${taken.refused}`);
      return;
    }
    const count = taken.mistakes.length;
    say(says, `The flight has ${count} ${count === 1 ? "mistake" : "mistakes"}.`);
    mistakes.replaceChildren(...taken.mistakes.map((it) => place(it, asked.variants.split("\n"))));
  });

  return {
    fill(house) {
      form.hidden = house.flight;
      if (house.flight) return;
      const was = [drink.value, line.value, variants.value];
      drinks = house.drinks;
      drink.replaceChildren(...drinks.map((it) => option(it.name, it.name)));
      if (drinks.some((it) => it.name === was[0])) drink.value = was[0];
      fillLines();
      // What somebody was writing stays, where it still belongs to a line.
      if (drink.value === was[0] && [...line.options].some((it) => it.value === was[1])) {
        [, line.value, variants.value] = was;
      }
      mistakes.replaceChildren();
    },
    show(flight) {
      // Whoever sent it by keyboard goes on from there.
      const stays = form.contains(document.activeElement);
      told.show(flight);
      if (flight && stays) find("flight-told").querySelector("button")?.focus();
    },
  };
}
