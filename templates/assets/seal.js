// Opens a sealed passport with the secret behind the # of the address, which a browser never sends to anybody.
"use strict";
{
  const ticket = document.querySelector("[data-seal]");
  const { seal: place, box } = ticket.dataset;
  const bytes = (text) => new TextEncoder().encode(text);
  const text = (data) => new TextDecoder().decode(data);
  const say = (state) => {
    for (const line of ticket.querySelectorAll("[data-say]")) line.hidden = line.dataset.say !== state;
  };
  // What was typed by hand is read kindly: small letters, O for 0, I and L for 1.
  const secret = () =>
    location.hash.toUpperCase().replace(/[^0-9A-Z]/g, "").replace(/O/g, "0").replace(/[IL]/g, "1");

  async function keyOf(code) {
    const base = await crypto.subtle.importKey("raw", bytes(code), "HKDF", false, ["deriveKey"]);
    const how = { name: "HKDF", hash: "SHA-256", salt: new Uint8Array(), info: bytes("racquet-passport seal 1 key") };
    return crypto.subtle.deriveKey(how, base, { name: "AES-GCM", length: 256 }, false, ["decrypt"]);
  }

  async function opened(sealed, name, key) {
    const how = { name: "AES-GCM", iv: sealed.slice(0, 12), additionalData: bytes(`${place}/${name}`) };
    const plain = new Uint8Array(await crypto.subtle.decrypt(how, key, sealed.slice(12)));
    const end = plain.lastIndexOf(0x80);
    const stream = new Blob([plain.slice(0, end)]).stream().pipeThrough(new DecompressionStream("deflate"));
    const all = new Uint8Array(await new Response(stream).arrayBuffer());
    const line = all.indexOf(10);
    return { ...JSON.parse(text(all.slice(0, line))), data: all.slice(line + 1) };
  }

  async function fetched(name, key) {
    const answer = await fetch(name, { referrerPolicy: "no-referrer", credentials: "omit" });
    if (!answer.ok) throw new Error(`${name}: ${answer.status}`);
    const file = await opened(new Uint8Array(await answer.arrayBuffer()), name, key);
    return { name: file.name, url: URL.createObjectURL(new Blob([file.data], { type: file.type })) };
  }

  // Downloads are opened when they are asked for, and handed over from memory.
  function offer(link, name, key) {
    link.addEventListener("click", async (event) => {
      event.preventDefault();
      const file = await fetched(name, key);
      const handed = document.createElement("a");
      handed.href = file.url;
      handed.download = file.name;
      handed.click();
      setTimeout(() => URL.revokeObjectURL(file.url), 60000);
    });
  }

  // Links inside the page must not take the secret out of the address: a reload would find the page shut.
  function stay(link) {
    link.addEventListener("click", (event) => {
      event.preventDefault();
      const target = document.getElementById(link.getAttribute("href").slice(1));
      if (!target) return;
      target.tabIndex = -1;
      target.focus();
      target.scrollIntoView();
    });
  }

  // What was sealed was made by the workshop's own templates; parsed this way no script in it would run all the same.
  function show(page, key) {
    const written = text(page.data);
    // Signs that the typefaces of the site lack come with the page, whose policy would refuse them as a text of it.
    const lent = /<style>([^<]*)<\/style>/.exec(written);
    if (lent && document.adoptedStyleSheets) {
      const sheet = new CSSStyleSheet();
      sheet.replaceSync(lent[1]);
      document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet];
    }
    const made = new DOMParser().parseFromString(lent ? written.replace(lent[0], "") : written, "text/html");
    for (const source of made.querySelectorAll("picture source")) source.remove();
    for (const picture of made.images) {
      const name = page.files[picture.getAttribute("src")];
      if (!name) continue;
      picture.removeAttribute("src");
      fetched(name, key).then((file) => { picture.src = file.url; }, () => picture.remove());
    }
    for (const link of made.links) {
      const href = link.getAttribute("href");
      if (page.files[href]) offer(link, page.files[href], key);
      else if (href.startsWith("#")) stay(link);
    }
    // A host can put an older page back: which one this is stands above it.
    const version = made.createElement("p");
    version.className = "sealed-version";
    version.textContent = page.said;
    made.querySelector("header").append(version);
    document.head.append(...made.querySelectorAll('link[href*="assets/words-"]'));
    const scripts = [...made.scripts].map((script) => script.getAttribute("src"));
    document.title = made.title;
    document.documentElement.lang = made.documentElement.lang;
    document.body.className = made.body.className;
    document.body.replaceChildren(...made.body.childNodes);
    for (const source of scripts) document.head.append(Object.assign(document.createElement("script"), { src: source }));
    const heading = document.querySelector("h1");
    heading.tabIndex = -1;
    heading.style.outline = "none"; // it is a place to read on from, nothing to press
    heading.focus({ preventScroll: true });
  }

  async function open() {
    const code = secret();
    if (!code) return say("closed");
    if (!window.isSecureContext) return say("insecure");
    if (!window.crypto?.subtle || !window.DecompressionStream) return say("old");
    say("opening");
    try {
      const key = await keyOf(code);
      const page = await opened(Uint8Array.from(atob(box), (c) => c.charCodeAt(0)), "index.html", key);
      removeEventListener("hashchange", open);
      show(page, key);
    } catch {
      say("wrong");
    }
  }
  addEventListener("hashchange", open);
  for (const link of document.links) if (link.getAttribute("href").startsWith("#")) stay(link);
  open();
}
