// What is truly in each glass, and what a hand does with one that stands aside.

import { button, find, grams, make } from "./dom.js";

const PLACES = { pan: "on the pan", aside: "stands aside", served: "has left" };

export function makeGlasses(send) {
  const box = find("glasses");

  // The buttons of a glass are kept while the figures beside them change, so that a key that is
  // on one of them stays there.
  const kept = new Map();

  function entry(number) {
    if (!kept.has(number)) {
      const act = (what) => () => send({ do: what, glass: number });
      const does = {
        place: button("Set on the pan", act("place")),
        stir: button("Stir", act("stir")),
        shake: button("Shake", act("shake")),
        strain: button("Strain into the pan's glass", act("strain")),
        serve: button("Serve or rinse", act("serve")),
      };
      const head = make("h3");
      const list = make("ul");
      const row = make("div", { class: "row" }, ...Object.values(does));
      kept.set(number, { does, head, list, row, node: make("div", { class: "glass" }, head, list, row) });
    }
    return kept.get(number);
  }

  function line(name, value) {
    return make("li", {}, make("span", {}, name), make("span", {}, value));
  }

  function fill(glass) {
    const { does, head, list, row, node } = entry(glass.number);
    head.textContent = `${glass.vessel}, ${PLACES[glass.place]}`;
    const lines = glass.parts.map(([name, mass]) => line(name, grams(mass)));
    if (glass.ice_g > 0) lines.push(line("ice", `${glass.ice_g} g`));
    if (glass.volume_ml > 0) {
      lines.push(line("in all", `${glass.volume_ml} ml, ${glass.abv_percent} % vol, `
        + `${glass.alcohol_g} g alcohol`));
    } else if (glass.ice_g === 0) {
      lines.push(line("empty", ""));
    }
    list.replaceChildren(...lines);
    row.hidden = glass.place !== "aside";
    for (const name of ["stir", "shake"]) {
      does[name].setAttribute("aria-pressed", glass.work === name);
    }
    does.stir.textContent = glass.work === "stir" ? "Stop stirring" : "Stir";
    does.shake.textContent = glass.work === "shake" ? "Stop shaking" : "Shake";
    return node;
  }

  return {
    show(list) {
      const nodes = list.map(fill);
      const numbers = new Set(list.map((glass) => glass.number));
      for (const number of kept.keys()) if (!numbers.has(number)) kept.delete(number);
      if (nodes.length === 0) nodes.push(make("p", { class: "quiet" }, "No glass yet."));
      // Moving a node would take the focus from it: only where the order differs.
      const same = nodes.length === box.children.length
        && nodes.every((node, at) => node === box.children[at]);
      if (!same) box.replaceChildren(...nodes);
    },
  };
}
