// A sheet from a file: taken, or its mistakes shown where they are.

import { button, find, make, say } from "./dom.js";

// What no sheet exceeds; larger files are not even read.
const LARGEST = 1024 * 1024;

export function makeSheet() {
  const drop = find("drop");
  const file = find("file");
  const says = find("sheet-says");
  const mistakes = find("mistakes");

  // The line of the text with a mark under the place, then what is wrong and what would be right.
  function place(mistake, lines) {
    const text = lines[mistake.line - 1] ?? "";
    const before = text.slice(0, mistake.column - 1).replace(/[^\t]/g, " ");
    const shown = make("pre", {}, `${text}\n`, before, make("span", { class: "caret" }, "^ here"));
    return make("li", {}, make("b", {}, `line ${mistake.line}, column ${mistake.column}: `),
      `${mistake.what}; ${mistake.right}`, shown);
  }

  async function offer(text, name) {
    let answer = null;
    try {
      answer = await fetch("./sheet", {
        method: "POST", headers: { "content-type": "application/toml" }, body: text,
      });
    } catch {
      say(says, "The desk does not answer; the sheet was not taken.");
      return;
    }
    mistakes.replaceChildren();
    if (!answer.ok) {
      say(says, `${name} was not taken: ${(await answer.text()).trim()}`);
      return;
    }
    const told = await answer.json();
    if (told.drinks) {
      const drinks = told.drinks === 1 ? "1 drink" : `${told.drinks} drinks`;
      say(says, `${name} is taken: ${drinks}. The bench was cleared.`);
      return;
    }
    if (told.refused) {
      say(says, `${name} cannot be worked from: ${told.refused}`);
      return;
    }
    const lines = text.split("\n");
    const count = told.mistakes.length;
    say(says, `${name} has ${count} ${count === 1 ? "mistake" : "mistakes"}; `
      + "the sheet before is still worked from.");
    mistakes.replaceChildren(...told.mistakes.map((mistake) => place(mistake, lines)));
  }

  async function read(chosen) {
    if (!chosen) return;
    if (chosen.size > LARGEST) {
      say(says, `${chosen.name} has ${chosen.size} bytes; a sheet has at most ${LARGEST}.`);
      return;
    }
    await offer(await chosen.text(), chosen.name);
  }

  file.addEventListener("change", async () => {
    await read(file.files[0]);
    // The same file again, once it was put right.
    file.value = "";
  });
  for (const event of ["dragenter", "dragover"]) {
    drop.addEventListener(event, (drag) => {
      drag.preventDefault();
      drop.classList.add("over");
    });
  }
  drop.addEventListener("dragleave", () => drop.classList.remove("over"));
  drop.addEventListener("drop", async (drag) => {
    drag.preventDefault();
    drop.classList.remove("over");
    await read(drag.dataTransfer.files[0]);
  });

  find("sheet-does").append(
    button("Work from the demo sheet", async () => {
      const demo = await fetch("./demo.toml");
      await offer(await demo.text(), "The demo sheet");
    }),
    make("a", { class: "button", href: "./demo.toml", download: "demo.toml" }, "Take the demo sheet home"),
  );
}
