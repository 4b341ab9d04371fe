// Keeps a passport in this browser for whoever asks for it, and makes a picture and a text of its strings to share.
"use strict";
{
  const box = document.querySelector("[data-root]");
  const root = new URL(box.dataset.root, location.href);
  const key = (/^#([0-9A-Z]{26})$/.exec(location.hash) || [])[1];
  const passport = new URL(`${key}/`, root);
  const cacheName = `passport ${passport.pathname}`;
  const can = "serviceWorker" in navigator && "caches" in window;
  const one = (name, inside = document) => inside.querySelector(name);
  const words = (element) => (element ? element.textContent.replace(/[ \t\r\n]+/g, " ").trim() : "");

  function show(state) {
    for (const part of document.querySelectorAll("[data-when]")) {
      const states = part.dataset.when.split(" ");
      part.hidden = !(states.includes(state) || (states.includes("old") && !can));
    }
  }

  async function tell() {
    const cache = can && (await caches.has(cacheName)) && (await caches.open(cacheName));
    const kept = cache && (await cache.match(passport));
    const said = one("[data-now=kept]");
    said.hidden = !kept;
    if (kept) {
      const day = new Date(kept.headers.get("x-kept")).toLocaleDateString(document.documentElement.lang, { dateStyle: "long" });
      said.dataset.said ??= said.textContent;
      said.textContent = said.dataset.said.replace("{date}", day);
    }
    one("[data-now=not]").hidden = Boolean(kept) || !can;
    one("[data-do=keep]").hidden = Boolean(kept) || !can;
    one("[data-do=forget]").hidden = !kept;
  }

  // What the page shows itself: it comes from the same site, and is asked for by the same names.
  function parts(page, at) {
    const found = [...page.querySelectorAll("link[rel=stylesheet], link[rel=preload], link[rel=icon], script[src], main img, source")];
    const names = found.map((part) => part.getAttribute("href") || part.getAttribute("src") || part.getAttribute("srcset"));
    return names.map((name) => new URL(name, at).href).filter((url) => url.startsWith(location.origin + "/"));
  }

  const parsed = (text) => new DOMParser().parseFromString(text, "text/html");

  // The same page in the workshop's language, where there is one, stands below it.
  async function beside(page, more = "") {
    const found = one(`link[rel=alternate]${more}`, page);
    const at = found && new URL(found.getAttribute("href"), passport);
    const answer = at && (await fetch(at, { referrerPolicy: "no-referrer" }));
    const text = answer && answer.ok && (await answer.text());
    return text && { at, text, page: parsed(text) };
  }

  async function keep(text, page) {
    const cache = await caches.open(cacheName);
    const told = { words: box.dataset.stamp, language: document.documentElement.lang, sealed: Boolean(one("[data-seal]", page)) };
    await cache.put(new URL("kept.json", passport), new Response(JSON.stringify(told)));
    const second = await beside(page);
    for (const url of new Set([...parts(page, passport), ...(second ? parts(second.page, second.at) : [])])) {
      const answer = await fetch(url);
      if (answer.ok) await cache.put(url, answer);
    }
    const head = { "content-type": "text/html; charset=utf-8", "x-kept": new Date().toISOString() };
    await cache.put(passport, new Response(text, { headers: head }));
    if (second) await cache.put(second.at, new Response(second.text, { headers: head }));
    await navigator.serviceWorker.register(new URL("kept.js", root), { scope: passport.pathname });
  }

  async function forget() {
    await caches.delete(cacheName);
    const worker = await navigator.serviceWorker.getRegistration(passport);
    if (worker && worker.scope === passport.href) await worker.unregister();
  }

  // --- what there is to share: what the page itself says, and nothing else ---

  function said(page) {
    const rows = [...page.querySelectorAll(".recipe tbody tr")].map((row) => {
      const [name, string, pull] = [one("th", row), one("td", row), one(".pull", row)];
      const kind = one("br + .other", string);
      const brand = kind ? words(kind) : "";
      if (kind) kind.remove();
      return { name: words(name), string: words(string), brand, pull: words(pull) };
    });
    const day = words(one(".fresh-date", page));
    return { label: words(one("h1", page)), model: words(one(".ticket-model", page)), rows, day };
  }

  const lines = ({ label, model, rows, day }) =>
    [`${label} ${model}`, ...rows.map((r) => `${r.name}: ${r.string} (${r.brand}), ${r.pull}`), day].filter(Boolean);

  async function drawn({ label, model, rows, day }) {
    const [wide, pad, ink, soft, accent] = [1080, 64, "#0a2c36", "#3a555e", "#0d5566"];
    const fonts = { display: '"House Display", serif', text: '"House Text", sans-serif' };
    await Promise.all([document.fonts.load('600 60px "House Display"'), document.fonts.load('600 60px "House Text"')]);
    const canvas = document.createElement("canvas");
    const pen = canvas.getContext("2d");
    const right = getComputedStyle(document.documentElement).direction === "rtl";
    let y = 0;
    const wrapped = (text, font) => {
      pen.font = font;
      const found = [""];
      for (const word of text.split(" ")) {
        const longer = `${found.at(-1)} ${word}`.trim();
        if (pen.measureText(longer).width <= wide - 2 * pad) found[found.length - 1] = longer;
        else found.push(word);
      }
      return found.filter(Boolean);
    };
    const write = (text, size, face, colour, weight, gap) => {
      const font = `${weight} ${size}px ${face}`;
      for (const line of wrapped(text, font)) {
        y += size * 1.25;
        if (!canvas.drawing) continue;
        [pen.font, pen.fillStyle, pen.direction, pen.textAlign] = [font, colour, right ? "rtl" : "ltr", "start"];
        pen.fillText(line, right ? wide - pad : pad, y - size * 0.3, wide - 2 * pad);
      }
      y += gap;
    };
    const all = () => {
      y = pad + 24;
      write(label, 64, fonts.display, ink, 600, 0);
      write(model, 36, fonts.text, soft, 400, 40);
      for (const row of rows) {
        write(row.name, 32, fonts.text, soft, 600, 0);
        write(row.pull, 80, fonts.display, ink, 600, 4);
        write(row.string, 44, fonts.text, ink, 600, 0);
        write(row.brand, 32, fonts.text, soft, 400, 40);
      }
      if (day) write(day, 32, fonts.text, soft, 400, 0);
    };
    all(); // once to know how high it is, once to draw it
    [canvas.width, canvas.height, canvas.drawing] = [wide, Math.ceil(y + pad), true];
    pen.fillStyle = "#ffffff";
    pen.fillRect(0, 0, wide, canvas.height);
    pen.fillStyle = accent;
    pen.fillRect(0, 0, wide, 24);
    all();
    return new Promise((done) => canvas.toBlob(done, "image/png"));
  }

  async function offer(page) {
    const found = said(page);
    if (!found.rows.length) {
      one("section[aria-labelledby=share]").hidden = true;
      return;
    }
    const text = lines(found).join("\n");
    one("[data-text]").textContent = text;
    const blob = await drawn(found), url = URL.createObjectURL(blob);
    const picture = new Image();
    [picture.src, picture.alt, picture.dataset.picture] = [url, text, ""];
    one(".shared").prepend(picture);
    one("[data-do=picture]").addEventListener("click", () => {
      Object.assign(document.createElement("a"), { href: url, download: "strings.png" }).click();
    });
    const files = [new File([blob], "strings.png", { type: "image/png" })];
    const share = one("[data-do=share]");
    share.hidden = !(navigator.canShare && navigator.canShare({ files, text }));
    share.addEventListener("click", () => navigator.share({ files, text }).catch(() => {}));
    one("[data-do=copy]").addEventListener("click", async () => {
      try {
        await navigator.clipboard.writeText(text);
        one("[data-now=copied]").hidden = false;
      } catch {
        getSelection().selectAllChildren(one("[data-text]")); // then the reader copies it
      }
    });
  }

  async function begin() {
    if (!key) return show("nothing");
    one("[data-back]").href = passport;
    let text = "";
    try {
      const answer = await fetch(passport, { referrerPolicy: "no-referrer" });
      text = answer.ok ? await answer.text() : "";
    } catch {
      // no network: what is kept can still be deleted
    }
    const page = parsed(text);
    const sealed = Boolean(one("[data-seal]", page));
    const open = page.body.classList.contains("frame");
    show(sealed ? "sealed" : open ? "open" : "gone");
    if (!sealed && !open) {
      one("section[aria-labelledby=off-line]").hidden = !(can && (await caches.has(cacheName)));
    }
    one("[data-do=keep]").addEventListener("click", async () => { await keep(text, page); await tell(); });
    one("[data-do=forget]").addEventListener("click", async () => { await forget(); await tell(); });
    await tell();
    if (!sealed && !open) one("[data-do=keep]").hidden = true;
    if (!open) return;
    const mine = await beside(page, `[hreflang="${document.documentElement.lang}"]`).catch(() => null);
    if (mine) one("[data-back]").href = mine.at;
    await offer(mine ? mine.page : page);
  }
  begin();
}
