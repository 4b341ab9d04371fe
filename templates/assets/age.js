// Says how old the strings are today. Without scripts the date beside it says the same.
"use strict";
const DAY = 86400000;
function days(iso) {
  const [y, m, d] = iso.split("-").map(Number);
  const now = new Date();
  return Math.round((Date.UTC(now.getFullYear(), now.getMonth(), now.getDate()) - Date.UTC(y, m - 1, d)) / DAY);
}
for (const box of document.querySelectorAll("[data-strung]")) {
  const age = days(box.dataset.strung);
  if (age < 0) continue;
  const line = box.querySelector(".fresh-age");
  line.querySelector(".fresh-days").textContent = age === 0 ? "" : age.toLocaleString(document.documentElement.lang);
  line.querySelector(".fresh-word").textContent =
    age === 0 ? box.dataset.today : age === 1 ? box.dataset.one : box.dataset.many;
  line.hidden = false;
  if (box.dataset.due && days(box.dataset.due) > 0) box.classList.add("is-late");
}
