// The pan and what a hand does there.

import { button, find, grams, mark, say } from "./dom.js";

const VESSELS = [
  ["mixing glass", "Mixing glass"],
  ["tin", "Tin"],
  ["rocks", "Rocks glass"],
  ["highball", "Highball"],
  ["coupe", "Coupe"],
];

export function makeBench(send) {
  const take = VESSELS.map(([vessel, words]) =>
    button(words, () => send({ do: "take", vessel }), { "data-vessel": vessel }));
  find("vessels").append(...take);

  const lift = button("Lift it off", () => send({ do: "lift" }), { id: "lift" });
  const spoonOut = button("Spoon some out", () => send({ do: "spoon_out" }));
  const press = button("Rest a hand on the pan", () => send({ do: "press" }));
  find("pan-does").append(lift, spoonOut);

  let on = true;
  const power = button("Cut the power", () => send({ do: "power", on: !on }), { id: "power" });
  find("ice").append(
    button("A cube of ice", () => send({ do: "ice", cubes: 1 })),
    button("A scoop of ice", () => send({ do: "ice", cubes: 8 }), { id: "scoop" }),
  );
  find("mishaps").append(
    press,
    button("Knock the bench", () => send({ do: "knock" })),
    button("Spoon on the pan", () => send({ do: "spoon" })),
    button("Wet towel on the pan", () => send({ do: "towel" })),
    button("Wipe the pan", () => send({ do: "wipe" })),
    power,
  );

  return {
    holds(list) {
      const glass = list.find((it) => it.place === "pan");
      lift.disabled = !glass;
      spoonOut.disabled = !glass;
      take.forEach((it) => { it.disabled = Boolean(glass); });
      const liquid = glass?.parts.reduce((sum, [, mass]) => sum + mass, 0) ?? 0;
      const ice = glass?.ice_g > 0 ? `, ${glass.ice_g} g of ice` : "";
      say(find("pan-holds"), glass ? `${glass.vessel}: ${grams(liquid)} of liquid${ice}` : "nothing");
    },
    follow(state) {
      on = state.on;
      say(power, on ? "Cut the power" : "Power on");
      mark(power, "aria-pressed", !on);
    },
  };
}
