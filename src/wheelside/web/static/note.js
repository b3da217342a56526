/* Prints the note for the shop, and sends it as one file where the browser can. Without this the page and its file are there all the same. */
"use strict";
(() => {
  const one = what => document.querySelector(`[data-${what}]`);
  const file = one("file"), print = one("print"), share = one("share");
  print.hidden = false;
  print.addEventListener("click", () => window.print());
  if (!navigator.share) return;
  const got = fetch(file.href).then(r => r.ok ? r.blob() : null).catch(() => null);
  share.hidden = false;
  share.addEventListener("click", async () => {
    const blob = await got, title = document.title.split(" – ")[0];
    const files = blob ? [new File([blob], file.download, {type: "text/html"})] : [];
    const whole = files.length && navigator.canShare && navigator.canShare({files});
    await navigator.share(whole ? {title, files} : {title, text: document.querySelector(".shop-note").innerText}).catch(() => {});
  });
})();
