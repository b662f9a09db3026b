// Mistakes in a text, each shown where it is.

import { make } from "./dom.js";

// The line of the text with a mark under the place, then what is wrong and what would be right.
export function place(mistake, lines) {
  const text = lines[mistake.line - 1] ?? "";
  const before = text.slice(0, mistake.column - 1).replace(/[^\t]/g, " ");
  const shown = make("pre", {}, `${text}\n`, before, make("span", { class: "caret" }, "^ here"));
  return make("li", {}, make("b", {}, `line ${mistake.line}, column ${mistake.column}: `),
    `${mistake.what}; ${mistake.right}`, shown);
}
