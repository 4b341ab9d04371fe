"use strict";
// The bench works without this; here are the live figures, ticks that survive a reload, and a scanner's keystrokes.
(() => {
  const every = (selector, act) => document.querySelectorAll(selector).forEach(act);

  // Clocks: minutes and seconds since the last knot, marked when the bed is to be read.
  const clocks = [...document.querySelectorAll("[data-since]")];
  const run = () => {
    for (const clock of clocks) {
      const gone = Math.max(0, Math.floor((Date.now() - Date.parse(clock.dataset.since)) / 1000));
      clock.textContent = `${Math.floor(gone / 60)}:${String(gone % 60).padStart(2, "0")}`;
      const age = Number(clock.dataset.age || 15) * 60;
      clock.classList.toggle("is-now", gone >= age - 30 && gone <= age + 60);
      clock.classList.toggle("is-late", gone > age + 60);
    }
  };
  if (clocks.length) { run(); setInterval(run, 1000); }

  // What was ticked is remembered on this device for this order.
  every("[data-ticks]", (list) => {
    const key = `ticks ${list.dataset.ticks}`;
    const boxes = [...list.querySelectorAll("input")];
    const kept = (localStorage.getItem(key) || "").split("");
    boxes.forEach((box, place) => {
      box.checked = kept[place] === "1";
      box.addEventListener("change", () => localStorage.setItem(key, boxes.map((b) => (b.checked ? "1" : "0")).join("")));
    });
  });

  // A job: what is typed is kept, and judged as it is typed, by the same form that "Look first" sends.
  const job = document.querySelector("form[data-keep]");
  if (job) {
    const said = (act) => { const all = new URLSearchParams(new FormData(job)); if (act) all.set("act", act); return all; };
    const send = (to, body) => fetch(to, {method: "POST", body, keepalive: true});
    let waiting = 0, turn = 0, looking = false, again = false;
    const judged = async () => {
      send(job.dataset.keep, said()).catch(() => {}); // the network is away: it stays in the page
      if (job.dataset.live === "no") return;
      if (looking) { again = true; return; } // one at a time: what is saved waits for no row of them
      looking = true;
      const mine = turn;
      try {
        const page = new DOMParser().parseFromString(await (await send(job.action, said("look"))).text(), "text/html");
        if (mine !== turn) return; // more was typed meanwhile
        for (const spot of document.querySelectorAll("#told, .about, [data-follow]")) {
          const fresh = page.getElementById(spot.id);
          if (fresh && !spot.contains(document.activeElement)) spot.replaceWith(fresh);
        }
        document.querySelectorAll(".field").forEach((field) => field.classList.toggle("is-told", !!field.querySelector(".beside")));
      } catch {
        // the network is away: what is typed stays in the page, and saving says so
      } finally {
        looking = false;
        if (again) { again = false; judged(); }
      }
    };
    job.addEventListener("input", (event) => {
      const minutes = job.elements.minutes;
      if (event.target.name === "ring" && minutes?.dataset.tied && !minutes.dataset.own) {
        minutes.value = Math.round((Date.now() - Date.parse(minutes.dataset.tied)) / 60000);
      }
      if (minutes && event.target === minutes) minutes.dataset.own = "yes";
      clearTimeout(waiting);
      turn += 1;
      waiting = setTimeout(judged, 500);
    });
    job.addEventListener("submit", () => { clearTimeout(waiting); turn += 1; again = false; });
  }

  // What takes seconds says so where it was pressed.
  every("[data-wait]", (button) => button.form?.addEventListener("submit", (event) => {
    if (event.submitter === button) setTimeout(() => { button.textContent = button.dataset.wait; });
  }));

  // A hand scanner types what it reads: where no field is open for it, that goes into the search.
  const seek = document.getElementById("q");
  if (seek) {
    document.addEventListener("keydown", (event) => {
      const other = event.ctrlKey || event.metaKey || event.altKey || event.key.length !== 1 || event.key === " ";
      const field = event.target.closest("input:not([type=checkbox]), textarea, select");
      if (other || field) return;
      seek.value = "";
      seek.focus();
    });
  }
})();
