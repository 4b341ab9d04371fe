// Says how old and how alive the strings are today. Without scripts the dates on the page say the same.
"use strict";
const DAY = 86400000;
function days(iso) {
  const [y, m, d] = iso.split("-").map(Number);
  const now = new Date();
  return Math.round((Date.UTC(now.getFullYear(), now.getMonth(), now.getDate()) - Date.UTC(y, m - 1, d)) / DAY);
}
function left(box, age) {
  // From a quarter of an hour on, strings lose the same share in each tenfold of their age; today is taken at noon.
  const tenfolds = Math.log10((age + 0.5) * 96);
  const best = 1 - box.dataset.rate * tenfolds;
  const reach = 2 * box.dataset.rateU * tenfolds;
  return [best, best - reach, Math.min(1, best + reach)].map((share) => Math.round(100 * share));
}
for (const box of document.querySelectorAll("[data-strung]")) {
  const age = days(box.dataset.strung);
  if (age < 0) continue;
  const say = (name, text) => { box.querySelector(name).textContent = text; };
  say(".fresh-days", age === 0 ? "" : age.toLocaleString(document.documentElement.lang));
  const word = age === 0 ? box.dataset.today : age === 1 ? box.dataset.one : box.dataset.many;
  say(".fresh-word", word);
  box.querySelector(".fresh-now").hidden = false;
  if (!box.dataset.rate) continue;
  if (box.dataset.due) {
    // The same limits as in the terminal: see bench/standing.py. Without a due day nothing is said.
    const over = days(box.dataset.due) > 0, soon = days(box.dataset.soon) >= 0;
    const state = over ? "over" : soon ? "fading" : age < 2 ? "settling" : "lively";
    say(".fresh-word", word + ", " + box.dataset[state]);
    box.classList.replace("is-plain", over ? "is-late" : soon ? "is-soon" : "is-lively");
  }
  if (age === 0) continue;
  const [best, low, high] = left(box, age);
  say(".fresh-share", best + "\u202f%");
  say(".fresh-band", box.dataset.band.replace("{low}", low).replace("{high}", high));
  box.querySelector(".fresh-left").hidden = false;
}
for (const chart of document.querySelectorAll("svg[data-from]")) {
  const { from, days: span, x0, x1 } = chart.dataset;
  const age = days(from), line = chart.querySelector("[data-today]");
  if (age < 0 || !line) continue;
  const along = Math.min(1, age / span);
  line.setAttribute("transform", `translate(${+x0 + along * (x1 - x0)} 0)`);
  if (along > 0.85) {
    const label = line.querySelector("text");
    label.setAttribute("x", -5);
    label.setAttribute("text-anchor", "end");
    if (age > span) label.textContent += " →";
  }
  line.setAttribute("visibility", "visible");
}
