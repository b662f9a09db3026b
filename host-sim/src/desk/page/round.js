// A round composed from the sheet's drinks and changed while it runs, and the way of working.

import { button, find, make, mark, say } from "./dom.js";

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
  let shown = null;

  const go = button("Send to the scale", () => {
    send({ do: "order", drinks: chosen });
    chosen = [];
    show();
  }, { class: "chief", id: "send-round" });
  const undo = button("Take the last one out", () => {
    chosen.pop();
    show();
  });
  find("round-does").append(go, undo);

  const skip = button("Skip this step", () => send({ do: "skip" }));
  const two = button("Make two of it", () => send({ do: "two" }), { id: "two" });
  const again = button("Begin it again", () => send({ do: "again" }));
  find("under-way").append(
    skip, two, again,
    button("Zero", () => send({ do: "zero" })),
    button("Clear the bench", () => send({ do: "afresh", drink: null }), { id: "clear" }),
  );

  // One that waits becomes another: chosen first, then changed, so that no key changes it in
  // passing.
  const from = make("select", { id: "change-from", "aria-label": "The drink that was ordered" });
  const to = make("select", { id: "change-to", "aria-label": "The drink to make instead" });
  const change = button("Change it", () => {
    send({ do: "change", from: Number(from.value), to: Number(to.value) });
  }, { id: "change-it" });
  find("change").append(make("span", {}, "In place of"), from, make("span", {}, "make"), to, change);

  for (const [mode, words] of Object.entries(MODES)) {
    const choice = make("input", {
      type: "radio", name: "mode", value: mode, onchange: () => send({ do: "mode", mode }),
    });
    modes[mode] = choice;
    find("modes").append(make("label", {}, choice, make("span", {}, `${mode} `,
      make("small", {}, words))));
  }

  const name = (number) => drinks[number]?.name ?? "a drink";
  const option = (number) => make("option", { value: number }, name(number));

  function show() {
    go.disabled = chosen.length === 0;
    undo.disabled = chosen.length === 0;
    const names = chosen.map(name).join(", ");
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

  // A drink that was ordered, and how to take it back.
  function ordered(number, at, begun) {
    const state = at === 0 && begun ? "being built" : "waits";
    const back = button("Take it back", () => send({ do: "void", drink: number }),
      { "aria-label": `Take ${name(number)} back` });
    return make("li", {}, make("span", {}, make("b", {}, name(number)), ` ${state}`), back);
  }

  function showOrdered(round, begun) {
    const list = find("ordered");
    const held = [...list.children].findIndex((it) => it.contains(document.activeElement));
    list.replaceChildren(...round.map((number, at) => ordered(number, at, begun)));
    // Whoever took one back by keyboard stays in the list.
    if (held >= 0) {
      (list.children[Math.min(held, list.children.length - 1)]?.querySelector("button") ?? skip).focus();
    }
    const waits = begun ? round.slice(1) : round;
    const was = from.value;
    from.replaceChildren(...[...new Set(waits)].map(option));
    if ([...from.options].some((it) => it.value === was)) from.value = was;
    find("change").hidden = waits.length === 0 || find("compose").hidden;
    for (const it of [skip, two, again]) it.disabled = !begun;
  }

  return {
    fill(house) {
      drinks = house.drinks;
      chosen = [];
      find("compose").hidden = house.flight;
      find("drinks").replaceChildren(...(house.flight ? [] : drinks.map(entry)));
      to.replaceChildren(...drinks.map((_, number) => option(number)));
      shown = null;
      show();
    },
    follow(state) {
      const key = `${state.round.join()} ${state.begun}`;
      if (key !== shown) {
        shown = key;
        showOrdered(state.round, state.begun);
        const [first, ...rest] = state.round.map(name);
        const after = rest.length > 0 ? `, then ${rest.join(", ")}` : "";
        const now = state.begun ? "Being built" : "Next";
        const nothing = find("compose").hidden ? "Nothing is left to be built."
          : "Nothing ordered. Add drinks, then send them; add more whenever somebody asks.";
        say(find("round-now"), first ? `${now}: ${first}${after}.` : nothing);
      }
      // Not while somebody is choosing with the keys.
      if (!find("modes").contains(document.activeElement)) modes[state.mode].checked = true;
      for (const [mode, choice] of Object.entries(modes)) {
        mark(choice.parentElement, "data-chosen", mode === state.mode);
      }
    },
  };
}
