// After a job was saved to be printed: the print dialogue on the card; where a browser shows no PDF in a page, the PDF itself.
(() => {
  "use strict";
  const card = document.querySelector("a[data-print]");
  const done = `printed ${location.pathname}`;
  if (!card || sessionStorage.getItem(done)) return; // gone back to, or loaded again
  sessionStorage.setItem(done, "yes");
  if (!navigator.pdfViewerEnabled || matchMedia("(pointer: coarse)").matches) {
    location.assign(card.href);
    return;
  }
  const sheet = document.createElement("iframe");
  sheet.title = card.textContent;
  sheet.className = "sheet";
  sheet.addEventListener("load", () => {
    try {
      sheet.contentWindow.focus();
      sheet.contentWindow.print();
    } catch {
      location.assign(card.href);
    }
  });
  sheet.src = card.href;
  card.closest(".row").after(sheet);
})();
