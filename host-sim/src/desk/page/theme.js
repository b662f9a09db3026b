// Light or dark: as the system wishes, until somebody says otherwise.

import { find, say } from "./dom.js";

export function makeTheme(changed) {
  const root = document.documentElement;
  const system = matchMedia("(prefers-color-scheme: dark)");
  let chosen = remembered();

  function show() {
    const theme = chosen ?? (system.matches ? "dark" : "light");
    root.dataset.theme = theme;
    say(find("theme"), theme === "dark" ? "Light" : "Dark");
    changed();
  }

  find("theme").addEventListener("click", () => {
    chosen = root.dataset.theme === "dark" ? "light" : "dark";
    try {
      localStorage.setItem("theme", chosen);
    } catch {
      // A browser that remembers nothing shows it all the same.
    }
    show();
  });
  system.addEventListener("change", show);
  show();
}

function remembered() {
  try {
    const theme = localStorage.getItem("theme");
    return theme === "dark" || theme === "light" ? theme : null;
  } catch {
    return null;
  }
}
