// A round composed from the sheet's drinks, and the way of working.

import { button, find, make, say } from "./dom.js";

const MODES = {
  service: "fast; speaks up where somebody would taste it",
  develop: "exact; for working on a spec",
  prep: "syrups and batches, in grams",
  plain: "grams and tare",
};
// As many as the scale lets wait.
const MOST = 12;

export function makeRound(send) {
  let drinks = [];
  let chosen = [];
  let modes = {};

  const go = button("Send to the scale", () => {
    send({ do: "order", drinks: chosen });
    chosen = [];
    show();
  }, { class: "chief", id: "send-round" });
  const undo = button("Take the last one out", () => {
    chosen.pop();
    show();
  });
  find("round-does").append(
    go,
    undo,
    button("Skip this step", () => send({ do: "skip" })),
    button("Zero", () => send({ do: "zero" })),
    button("Clear the bench", () => send({ do: "afresh", drink: null }), { id: "clear" }),
  );

  for (const [mode, words] of Object.entries(MODES)) {
    const choice = make("input", {
      type: "radio", name: "mode", value: mode, onchange: () => send({ do: "mode", mode }),
    });
    modes[mode] = choice;
    find("modes").append(make("label", {}, choice, make("span", {}, `${mode} `,
      make("small", {}, words))));
  }

  function show() {
    go.disabled = chosen.length === 0;
    undo.disabled = chosen.length === 0;
    const names = chosen.map((number) => drinks[number]?.name).join(", ");
    go.textContent = names ? `Send to the scale: ${names}` : "Send to the scale";
  }

  function entry(drink, number) {
    const steps = make("ol", {}, ...drink.build.map((step) => make("li", {}, step)));
    const where = drink.vessel === drink.glass ? drink.vessel : `${drink.vessel}, into a ${drink.glass}`;
    const add = button("Add", () => {
      if (chosen.length < MOST) chosen.push(number);
      show();
    }, { "aria-label": `Add ${drink.name} to the round` });
    return make("li", {}, make("details", {}, make("summary", {}, drink.name),
      make("p", { class: "quiet" }, where), steps), add);
  }

  return {
    fill(house) {
      drinks = house.drinks;
      chosen = [];
      find("drinks").replaceChildren(...drinks.map(entry));
      show();
    },
    follow(state) {
      const names = state.round.map((number) => drinks[number]?.name);
      const [first, ...rest] = names;
      const after = rest.length > 0 ? `; then ${rest.join(", ")}` : "";
      say(find("round-now"), first ? `Being built: ${first}${after}.`
        : "Nothing ordered. Add drinks, then send them.");
      // Not while somebody is choosing with the keys.
      if (!find("modes").contains(document.activeElement)) modes[state.mode].checked = true;
    },
  };
}
