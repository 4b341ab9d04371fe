// Says how old and how alive the strings are today. Without scripts the dates on the page say the same.
"use strict";
const DAY = 86400000;
function days(iso) {
  const [y, m, d] = iso.split("-").map(Number);
  const now = new Date();
  return Math.round((Date.UTC(now.getFullYear(), now.getMonth(), now.getDate()) - Date.UTC(y, m - 1, d)) / DAY);
}
function hours(box, minutes) {
  // Play noted at some ages, even between them and at the last pace after them.
  const notes = (box.dataset.played || "").split(" ").filter(Boolean).map((note) => note.split(":").map(Number));
  let [from, before] = [0, 0];
  for (const [age, played] of notes) {
    if (minutes <= age) return before + (played - before) * (minutes - from) / (age - from);
    [from, before] = [age, played];
  }
  return before + (+box.dataset.pace || 0) * (minutes - from);
}
function left(box, age) {
  // From a quarter of an hour on, strings lose the same share in each tenfold of their age, and one in each hour of
  // play; today is taken at noon.
  const { rate, rateU, play = 0, playU = 0, both = 0 } = box.dataset;
  const tenfolds = Math.log10((age + 0.5) * 96), played = hours(box, (age + 0.5) * 1440);
  const best = 1 - rate * tenfolds - play * played;
  const reach = 2 * Math.sqrt(Math.max(0, (rateU * tenfolds) ** 2 + (playU * played) ** 2 + 2 * both * tenfolds * played));
  return [best, Math.max(0, best - reach), Math.min(1, best + reach)].map((share) => Math.round(100 * share));
}
for (const box of document.querySelectorAll("[data-strung]")) {
  const age = days(box.dataset.strung);
  if (age < 0) continue;
  const say = (name, text) => { box.querySelector(name).textContent = text; };
  say(".fresh-days", age === 0 ? "" : age.toLocaleString(document.documentElement.lang));
  const word = age === 0 ? box.dataset.today : age === 1 ? box.dataset.one : box.dataset.many;
  say(".fresh-word", word);
  box.querySelector(".fresh-now").hidden = false;
  const bar = box.querySelector(".bar");
  if (bar) {
    const { days: span, x0, x1 } = bar.dataset, along = Math.min(1, age / span) * (x1 - x0);
    const now = bar.querySelector("[data-now]");
    bar.querySelector("rect").setAttribute("width", along);
    now.setAttribute("transform", `translate(${+x0 + along} 0)`);
    now.setAttribute("visibility", "visible");
  }
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
function charts() {
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
}
// Which unit stands first, as the reader last chose; the page itself says both. What a phone will not keep is forgotten.
const PAIRS = [["lb", "kg"], ["mm", "pt"]], UNIT = /\u202f(lb|kg|mm|pt)(\u202f.*)?$/i;
function kept(name, value) {
  try {
    if (value) localStorage.setItem(name, value);
    return localStorage.getItem(name);
  } catch { return value; }
}
function first(wanted) {
  const turn = (now, other) => {
    const unit = UNIT.exec(now), away = UNIT.exec(other);
    return unit && away && unit[1].toLowerCase() !== wanted && away[1].toLowerCase() === wanted;
  };
  for (const two of document.querySelectorAll(".two")) {
    const [one, other] = [two.firstChild, two.lastElementChild];
    const now = one.textContent.trim(), then = other.textContent.trim().slice(1, -1);
    if (turn(now, then)) [one.textContent, other.textContent] = [then + (one.nodeType === 3 ? " " : ""), `(${now})`];
  }
  for (const one of document.querySelectorAll("[data-two]")) {
    const now = one.textContent.trim(), then = one.dataset.two, small = one.querySelector(".unit");
    if (!turn(now, then)) continue;
    one.dataset.two = now;
    if (!small) { one.textContent = then; continue; }
    const cut = then.indexOf("\u202f");
    [one.firstChild.textContent, small.textContent] = [then.slice(0, cut), "\u202f" + then.slice(cut + 1)];
  }
}
function units() {
  for (const [a, b] of PAIRS) if (kept("unit-" + a)) first(kept("unit-" + a));
  const keep = document.querySelector("[data-units]");
  if (!keep) return;
  const line = document.createElement("p");
  line.className = "units";
  line.append(keep.dataset.units);
  for (const pair of PAIRS) {
    if (!document.querySelector(pair[0] === "lb" ? ".two" : ".dial [data-two]")) continue;
    for (const unit of pair) {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = unit;
      button.addEventListener("click", () => first(kept("unit-" + pair[0], unit) || unit));
      line.append(button);
    }
  }
  if (line.children.length) keep.append(line);
}
function ready() { charts(); units(); }
if (document.readyState === "loading") addEventListener("DOMContentLoaded", ready);
else ready();
