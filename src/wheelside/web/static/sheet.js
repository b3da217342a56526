/* The run sheet on the phone: one step at a time, answers queued on the phone and sent once each.
   Works over plain HTTP, where browsers offer neither service workers nor Web Crypto. */
(async () => {
"use strict";
const root = document.querySelector("[data-job]");
if (!root || !window.indexedDB) return;
const JOB = root.dataset.job, TICKET = root.dataset.ticket, NO_ANSWER = root.dataset.noAnswer, STANDINGS = JSON.parse(root.dataset.standings);
const sections = [...root.querySelectorAll("[data-step]")];
const byId = new Map(sections.map(s => [s.dataset.step, s]));
for (const p of root.querySelectorAll("[data-as]")) p.innerHTML = document.getElementById(p.dataset.as).innerHTML; /* what is said at several steps stands in full at each */
const say = root.querySelector("[data-line]");
const clock = () => new Date(); /* the phone's clock: the only place that reads it */
let last = Number(root.dataset.last), current = null, sending = false, trouble = "", why = "", states = new Map();
for (const s of sections) states.set(s.dataset.step, {standing: s.dataset.standing || "open", problems: [], otherwise: [], said: [], rival: null, asDrawn: true}); /* until the book tells, what the page was drawn with stands */

/* --- the queue: claims that the book does not have yet, kept by the browser until it says that it has them --- */
const db = await new Promise((good, bad) => {
  const r = indexedDB.open("wheelside", 1);
  r.onupgradeneeded = () => r.result.createObjectStore("queue", {keyPath: "client"});
  r.onsuccess = () => good(r.result); r.onerror = () => bad(r.error);
});
const store = (mode, work) => new Promise((good, bad) => {
  const t = db.transaction("queue", mode, {durability: "strict"}), r = work(t.objectStore("queue"));
  t.oncomplete = () => good(r && r.result); t.onerror = t.onabort = () => bad(t.error);
});
const held = async () => (await store("readonly", q => q.getAll())).filter(c => c.job === JOB).sort((a, b) => a.order - b.order);
const queued = async () => (await held()).filter(c => !c.refused);
const put = claim => store("readwrite", q => q.put(claim));
const drop = clients => store("readwrite", q => clients.forEach(c => q.delete(c)));

const random = () => [...crypto.getRandomValues(new Uint8Array(16))].map(b => b.toString(16).padStart(2, "0")).join("");
const device = (() => {
  try { let d = sessionStorage.getItem("wheelside-device"); if (!d) { d = random(); sessionStorage.setItem("wheelside-device", d); } return d; } /* each window is one */
  catch { return root.dataset.device || random(); }
})();

/* --- what stands where --- */
let waiting = [];
const AFTER = {done: "done", skipped: "skipped", reopened: "open", settled: "done"};
const finished = id => ["done", "skipped"].includes(standing(id));
function standing(id) {
  const mine = waiting.filter(c => c.step === id).pop();
  if (mine) return AFTER[mine.kind];
  return states.get(id).standing;
}
const waitsOf = s => {
  const locks = sections.slice(0, sections.indexOf(s)).filter(o => "lock" in o.dataset).map(o => o.dataset.step);
  return [...new Set([...(s.dataset.waits || "").split(" "), ...locks])].filter(w => byId.has(w) && !finished(w));
};
const SIGN = {done: "✓", skipped: "–", open: "○", "to-correct": "!", "two-claims": "≠"};
const title = id => byId.get(id).querySelector("h2").textContent;

const list = root.querySelector("[data-list]");
for (const s of sections) {
  const item = document.createElement("li"), a = document.createElement("a"), sign = document.createElement("span"), words = document.createElement("span");
  a.href = "#step-" + s.dataset.step; a.dataset.goto = s.dataset.step; sign.className = "sign"; sign.dataset.sign = "";
  words.textContent = `${sections.indexOf(s) + 1}. ${title(s.dataset.step)}`; a.append(sign, words); item.append(a); list.querySelector("ol").append(item);
  a.addEventListener("click", ev => { ev.preventDefault(); show(s.dataset.step, true); });
}
list.hidden = false;

function draw() {
  let done = 0;
  for (const s of sections) {
    const id = s.dataset.step, is = standing(id), open = !finished(id), waits = open ? waitsOf(s) : [];
    if (!open) done++;
    const here = waiting.some(c => c.step === id);
    s.querySelector("[data-mark]").textContent = `${SIGN[is]} ${STANDINGS[is]}${here ? ", on this phone" : ""}`;
    const link = root.querySelector(`[data-goto="${CSS.escape(id)}"]`);
    link.querySelector("[data-sign]").textContent = SIGN[is];
    if (id === current) link.setAttribute("aria-current", "step"); else link.removeAttribute("aria-current");
    const note = slot(s, "waiting", "p", "note");
    note.hidden = !waits.length;
    if (waits.length) note.textContent = "Opens after: " + waits.slice(0, 3).map(title).join("; ") + (waits.length > 3 ? `, and ${waits.length - 3} more` : "");
    for (const b of s.querySelectorAll('[data-claim] button[value="done"]')) b.disabled = waits.length > 0;
    news(s, states.get(id), is);
    readBefore(s);
    rival(s, states.get(id), is);
  }
  root.querySelector("[data-count]").textContent = done;
  root.querySelector("progress").value = done;
  line();
}

/* What the book has, and what it has not: waiting, refused, or chosen and not sent. */
function line() {
  const n = waiting.length, refused = sections.find(s => states.get(s.dataset.step).refused), kept = sections.filter(s => drafted(s.dataset.step));
  const where = s => `${sections.indexOf(s) + 1}. ${title(s.dataset.step)}`;
  let text = trouble ? why : "✓ All answers are in the book.", good = !trouble;
  if (n) [text, good] = [`▲ ${n} answer${n > 1 ? "s wait" : " waits"} on this phone. ${trouble ? why : "Sending."} Keep this page open.`, false];
  else if (refused) [text, good] = [`! Not taken: ${where(refused)}. Answer it again.`, false];
  else if (kept.length) [text, good] = [`▲ Not sent yet: ${where(kept[0])}. Press Done there.`, false];
  say.textContent = text;
  say.className = good ? "small good" : "small care";
}

/* A place within a step that is made when it is needed. */
function slot(s, name, tag, cls) {
  let at = s.querySelector(`[data-${name}]`);
  if (at) return at;
  at = document.createElement(tag); at.dataset[name] = ""; if (cls) at.className = cls;
  if (name === "news") at.setAttribute("role", "status");
  if (name === "waiting") s.querySelector(".what").before(at); else s.querySelector("form[data-claim]").before(at);
  return at;
}

function news(s, state, is) {
  if (state.asDrawn) return;
  if (!state.problems.length && !state.otherwise.length && !state.notes?.length && !s.querySelector("[data-news]")) return;
  const at = slot(s, "news", "div");
  const lines = state.problems.map(p => ["wrong", "! " + p]);
  for (const n of state.notes || []) lines.push(["note", "? " + n]);
  if (state.otherwise.length && is === "done") lines.push(["finding is-take-care", "▲ otherwise than planned: " + state.otherwise.join(", ") + ". Look under 'Why, and what if not'."]);
  at.replaceChildren(...lines.map(([cls, text]) => { const p = document.createElement("p"); p.className = cls; p.textContent = text; return p; }));
}

function rival(s, state, is) {
  if (state.asDrawn) return;
  if (!state.rival && !s.querySelector("[data-rival]")) return;
  const at = slot(s, "rival", "div");
  if (!state.rival || is !== "two-claims") { at.replaceChildren(); return; }
  if (at.dataset.for === state.client + state.rival.client && at.children.length) return;
  at.dataset.for = state.client + state.rival.client;
  const box = document.createElement("div"); box.className = "note";
  const head = document.createElement("p"); head.textContent = "Two phones claim two things here. Pick the one that holds:"; box.append(head);
  for (const k of [{client: state.client, by: state.by, at: state.at, said: state.said, reason: state.reason, kind: "done"}, state.rival]) {
    const p = document.createElement("p");
    p.textContent = `${k.by || "Somebody"}, ${k.at}: ${k.reason ? "skipped, " + k.reason : k.said.map(a => [a.shown || a.said, a.words].filter(Boolean).join(", ")).filter(Boolean).join("; ")}`;
    const b = document.createElement("button"); b.type = "button"; b.className = "plain"; b.textContent = "This one holds";
    b.addEventListener("click", () => claim(s.dataset.step, "settled", {keep: k.client}));
    box.append(p, b);
  }
  at.replaceChildren(box);
}

/* --- figures that follow from another answer: from the tyre's temperature, or from what the gauge read before --- */
const pressure = kpa => (kpa / Number(root.dataset.kpa)).toFixed(Number(root.dataset.digits)).replace(".", root.dataset.decimal) + " " + root.dataset.pressure;
function kelvin(text) {
  const found = /^\s*([-+−]?\d+(?:[.,]\d+)?)\s*(?:°?\s*([CFK]))?\s*$/i.exec(text);
  if (!found) return null;
  const value = Number(found[1].replace("−", "-").replace(",", ".")), unit = (found[2] || root.dataset.temperature.slice(-1)).toUpperCase();
  return unit === "K" ? value : unit === "F" ? (value - 32) / 1.8 + 273.15 : value + 273.15;
}
function figure(s) {
  const box = s.querySelector("[data-curve]"), at = s.querySelector("[data-figure]"), warm = s.querySelector("[name='a-temperature']");
  if (!box || !at || !warm) return;
  const now = kelvin(warm.value), curve = JSON.parse(box.dataset.curve);
  const n = now === null ? -1 : curve.findIndex(([low], i) => i + 1 < curve.length && low <= now && now <= curve[i + 1][0]);
  if (n < 0) { at.textContent = now === null ? "The figure follows from the tyre's temperature." : "No figure for a tyre this warm or cold: see that it is cold, or set it outside."; return; }
  const [[low, before], [high, after]] = [curve[n], curve[n + 1]], said = /[CFK]\s*$/i.test(warm.value) ? warm.value.trim() : warm.value.trim() + " " + root.dataset.temperature;
  at.textContent = `At ${said}: set ${pressure(before + (after - before) * (now - low) / (high - low))}`;
}
function sameTemperature(from) { /* wheels that lie together have one temperature: what was said at one is offered at the next */
  const said = from.querySelector("[data-curve]") && from.querySelector("[name='a-temperature']").value;
  if (!said) return;
  for (const s of sections) {
    const warm = s !== from && s.querySelector("[data-curve]") && s.querySelector("[name='a-temperature']");
    if (!warm || finished(s.dataset.step) || warm.dataset.own) continue;
    warm.value = said; figure(s);
  }
}
for (const s of sections) if (s.querySelector("[data-curve]")) s.querySelector("[name='a-temperature']").addEventListener("input", ev => { ev.target.dataset.own = "yes"; figure(s); });
function readBefore(s) {
  const box = s.querySelector("[data-beside]"), at = s.querySelector("[data-before]");
  if (!box || !at) return;
  const [id, ask] = box.dataset.beside.split("/"), mine = waiting.filter(c => c.step === id && c.kind === "done").pop();
  const found = ((mine ? mine.answers : (states.get(id) || {}).said) || []).find(a => a.ask === ask);
  if (found && found.said) at.textContent = `The gauge read ${found.said}${/^[\d.,\s]+$/.test(found.said) ? " " + root.dataset.pressure : ""} before letting out.`;
}

/* --- one step at a time --- */
function show(id, focus) {
  current = id; other.hidden = true;
  for (const s of sections) s.hidden = s.dataset.step !== id;
  if (over) over.hidden = true;
  if (location.hash !== "#step-" + id) history.replaceState(null, "", "#step-" + id);
  const at = sections.findIndex(s => s.dataset.step === id);
  root.querySelector("[data-back]").disabled = at === 0;
  root.querySelector("[data-on]").disabled = at === sections.length - 1;
  draw(); tick();
  if (focus) { byId.get(id).querySelector("h2").focus({preventScroll: true}); root.querySelector(".sheet-bar").scrollIntoView(); }
}
const nextOpen = from => {
  const ready = s => !finished(s.dataset.step) && !("optional" in s.dataset) && !waitsOf(s).length;
  const at = sections.findIndex(s => s.dataset.step === from);
  return sections.slice(at + 1).find(ready) || sections.find(ready);
};
const over = root.querySelector("[data-over]");
function onward(from) {
  const n = nextOpen(from);
  if (n) { show(n.dataset.step, true); return; }
  if (!over || sections.some(s => !finished(s.dataset.step) && !("optional" in s.dataset))) return;
  byId.get(from).hidden = true; over.hidden = false; over.focus();
}
const step = by => { const at = sections.findIndex(s => s.dataset.step === current) + by; if (sections[at]) show(sections[at].dataset.step, true); };

/* --- clocks for steps that must not, or must, take a time --- */
const clockKey = s => "wheelside-clock-" + JOB + "-" + (s.dataset.timed && !s.dataset.wait ? "group-" + s.dataset.timed : s.dataset.step);
const begun = key => { try { return Number(localStorage.getItem(key)) || 0; } catch { return 0; } };
const begin = key => { try { localStorage.setItem(key, clock().getTime()); } catch { /* private browsing: the clock is left out */ } };
function tick() {
  const s = byId.get(current); if (!s) return;
  const shown = s.querySelector("[data-clock]"), start = s.querySelector("[data-start]"); if (!shown) return;
  const group = sections.filter(o => s.dataset.timed && o.dataset.timed === s.dataset.timed);
  const limit = Number(s.dataset.wait) || Math.max(0, ...group.map(o => Number(o.dataset.allowed || 0)), Number(s.dataset.allowed || 0));
  const from = begun(clockKey(s));
  if (start) start.hidden = from > 0 || !limit;
  shown.hidden = !from || !limit;
  if (from && limit) {
    const left = Math.round(limit - (clock().getTime() - from) / 1000), over = left < 0, t = Math.abs(left);
    shown.textContent = `${over ? (s.dataset.wait ? "done, +" : "over by ") : ""}${Math.floor(t / 60)}:${String(t % 60).padStart(2, "0")}`;
    shown.className = "clock " + (over ? (s.dataset.wait ? "good" : "bad") : "");
  }
}
setInterval(tick, 1000);

/* --- claims --- */
async function claim(id, kind, more) {
  const at = clock(), c = Object.assign({client: random(), job: JOB, step: id, kind, at_us: at.getTime() * 1000, offset_min: -at.getTimezoneOffset(),
    device, seen: last, answers: [], reason: "", keep: "", instrument: "", order: at.getTime() + waiting.length / 1000}, more);
  try {
    await drop((await held()).filter(o => o.refused && o.step === id).map(o => o.client));
    await put(c);
  }
  catch (e) { [trouble, why] = ["full", "This phone could not keep the answer (" + e + "): write it down, free some room."]; draw(); return false; }
  forget(id);
  waiting = await queued(); draw(); send();
  return true;
}

async function onSubmit(ev) {
  ev.preventDefault();
  const form = ev.currentTarget, s = form.closest("[data-step]"), kind = (ev.submitter && ev.submitter.value) || "done";
  const data = new FormData(form), answers = [], missing = [];
  if (kind === "done") for (const box of form.querySelectorAll("[name^='a-'], [data-photo]")) {
    const name = box.dataset.photo || box.name.slice(2);
    if (answers.some(a => a.ask === name)) continue;
    if (box.dataset.photo) { answers.push({ask: name, said: "", words: "", photo: "", file: box.files[0] ? await smaller(box.files[0]) : null}); continue; }
    const said = data.get("n-" + name) === "yes" ? NO_ANSWER : String(data.get("a-" + name) || "").trim();
    answers.push({ask: name, said, words: String(data.get("w-" + name) || "").trim(), photo: ""});
    const label = box.closest("fieldset, .field");
    if (!said && label && !label.querySelector("[data-free]")) missing.push(box);
  }
  if (missing.length) {
    const p = document.createElement("p"); p.className = "wrong"; p.textContent = "! Answer this first, or skip the step with a reason.";
    slot(s, "news", "div").replaceChildren(p); missing[0].focus(); return;
  }
  const clear = form.querySelectorAll("input[type=file]");
  if (kind === "done" && s.dataset.allowed && !begun(clockKey(s))) begin(clockKey(s));
  const ok = await claim(s.dataset.step, kind, {answers, instrument: String(data.get("instrument") || "")});
  if (!ok) return;
  clear.forEach(f => { f.value = ""; });
  sameTemperature(s);
  if (await taken(s.dataset.step)) onward(s.dataset.step);
}

/* --- skipping a step, or opening it again --- */
const other = root.querySelector("[data-other-form]");
async function onOther(ev) {
  ev.preventDefault();
  const kind = ev.submitter.value, reason = other.elements.reason.value.trim(), id = current;
  if (kind === "skipped" && !reason) { other.elements.reason.setCustomValidity("Say why it is skipped."); other.reportValidity(); return; }
  other.hidden = true;
  if (!kind || !(await claim(id, kind, {reason: kind === "skipped" ? reason : ""}))) return;
  other.reset();
  if (kind === "skipped") onward(id);
}
other.addEventListener("submit", onOther);
other.elements.reason.addEventListener("input", () => other.elements.reason.setCustomValidity(""));
for (const a of root.querySelectorAll("section .row > a[href*='/steps/']")) a.addEventListener("click", ev => { ev.preventDefault(); other.hidden = false; other.elements.reason.focus(); });

/* --- sending: photos first, then claims in their order; what the book acknowledges is dropped here --- */
async function smaller(file) { /* a photo is made smaller here, where that can be done; the book does it anyway */
  try {
    const picture = await createImageBitmap(file, {imageOrientation: "from-image"}), by = Math.min(1, 1600 / Math.max(picture.width, picture.height));
    const canvas = Object.assign(document.createElement("canvas"), {width: Math.round(picture.width * by), height: Math.round(picture.height * by)});
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    return await new Promise((good, bad) => canvas.toBlob(b => b ? good(b) : bad(), "image/jpeg", 0.85));
  } catch { return file; }
}
async function refuse(c, why) { /* set aside with what it said: the person mends it, and the others go on */
  c.refused = why; await put(c); refusal(c); fill(c);
}
function refusal(c) { /* why a claim was not taken, on its step */
  states.set(c.step, {...states.get(c.step), standing: "to-correct", asDrawn: false, refused: true, problems: ["The book does not take this answer: " + c.refused + " Answer again."]});
}
function fill(c) { /* puts what a claim said back into its step's form */
  const form = byId.get(c.step).querySelector("form[data-claim]");
  for (const a of c.answers) for (const box of form.elements) {
    if (box.name === "n-" + a.ask) box.checked = a.said === NO_ANSWER;
    else if (box.name === "w-" + a.ask) box.value = a.words;
    else if (box.name === "a-" + a.ask && (box.type === "radio" || box.type === "checkbox")) box.checked = box.value === a.said;
    else if (box.name === "a-" + a.ask && a.said !== NO_ANSWER) box.value = a.said;
  }
}
let reached = true;
async function taken(id) { /* whether to go on: not where the book says at once that the answer has to be corrected */
  for (let n = 0; reached && n < 15 && waiting.some(c => c.step === id); n++) await new Promise(good => setTimeout(good, 100));
  return states.get(id).standing !== "to-correct";
}
async function call(path, options = {}) {
  const stop = new AbortController(), timer = setTimeout(() => stop.abort(), options.body instanceof Blob ? 180000 : 15000);
  try {
    const r = await fetch(path, {credentials: "same-origin", cache: "no-store", signal: stop.signal, ...options, headers: {"X-Wheelside-Ticket": TICKET, ...(options.headers || {})}});
    reached = true;
    if (r.status === 401 || r.status === 403) { [trouble, why] = ["out", "This phone was shown out: let it in again under Settings on a device that is in. Its answers stay on this phone until then."]; throw new Error("out"); }
    return r;
  } catch (e) { if (e.message !== "out") reached = false; throw e; } finally { clearTimeout(timer); }
}
async function send() {
  if (sending) return;
  sending = true;
  let most = 20;
  try {
    for (;;) {
      const all = await queued();
      if (!all.length) break;
      for (const c of all) for (const a of c.answers) if (a.file) {
        const r = await call(`/api/jobs/${JOB}/photos`, {method: "POST", body: a.file, headers: {"content-type": a.file.type || "image/jpeg"}});
        if (r.ok) a.photo = (await r.json()).photo;
        else if (r.status < 500) a.words = `photo not kept: ${(await r.json()).error}`;
        else throw new Error("photo " + r.status);
        a.file = null; await put(c);
      }
      const some = all.slice(0, most);
      const claims = some.map(({job, order, ...c}) => ({...c, answers: c.answers.map(({ask, said, words, photo}) => ({ask, said, words, photo}))}));
      const r = await call(`/api/jobs/${JOB}/evidence`, {method: "POST", body: JSON.stringify({claims}), headers: {"content-type": "application/json"}});
      if (!r.ok && (r.status >= 500 || r.status === 408 || r.status === 429)) throw new Error("evidence " + r.status);
      if (!r.ok && some.length > 1) { most = 1; continue; } /* one of them: find it */
      if (!r.ok) { await refuse(some[0], (await r.json()).error || String(r.status)); most = 20; continue; }
      const got = await r.json();
      for (const c of some) states.get(c.step).standing = AFTER[c.kind]; /* until the book tells how they stand */
      await drop(some.map(c => c.client).filter(c => got.kept.includes(c)));
      trouble = "";
      await look(0);
    }
    if (trouble === "away") trouble = "";
  } catch { /* it is tried again in a few seconds */
  } finally { sending = false; waiting = await queued(); draw(); }
}
async function look(after = last) {
  try {
    const r = await call(`/api/jobs/${JOB}/evidence?after=${after}`);
    if (!r.ok) return;
    const got = await r.json();
    const late = got.last < last; /* an answer that was overtaken by a newer one */
    if (!late) { last = got.last; root.dataset.last = last; }
    if (got.steps && !late) for (const s of got.steps) states.set(s.id, s);
    for (const c of await held()) if (c.refused && byId.has(c.step)) refusal(c);
    if (!waiting.length) trouble = "";
    waiting = await queued(); draw();
  } catch (e) {
    if (!trouble) [trouble, why] = ["away", "The book can't be reached; go on, nothing is lost."];
    draw(); if (trouble !== "out") trouble = "";
  }
}

for (const f of root.querySelectorAll("form[data-claim]")) f.addEventListener("submit", onSubmit);
for (const b of root.querySelectorAll("[data-start]")) b.addEventListener("click", () => { begin(clockKey(b.closest("[data-step]"))); tick(); });
root.querySelector("[data-back]").addEventListener("click", () => step(-1));
root.querySelector("[data-on]").addEventListener("click", () => step(1));
/* What is being typed outlasts a reload: phones drop a page while the camera is open. */
const draft = id => "wheelside-draft-" + JOB + "-" + id;
function drafted(id) { try { return sessionStorage.getItem(draft(id)) !== null; } catch { return false; } }
function forget(id) { try { sessionStorage.removeItem(draft(id)); } catch { /* no drafts then */ } }
for (const f of root.querySelectorAll("form[data-claim]")) {
  const id = f.closest("[data-step]").dataset.step, boxes = () => [...f.querySelectorAll("[name^='a-'], [name^='n-'], [name^='w-'], select")];
  try {
    const old = JSON.parse(sessionStorage.getItem(draft(id)) || "null");
    if (old) boxes().forEach((b, i) => { if (b.type === "radio" || b.type === "checkbox") b.checked = !!old[i]; else b.value = old[i] ?? ""; });
  } catch { /* a draft of another sheet */ }
  f.addEventListener("input", () => { try { sessionStorage.setItem(draft(id), JSON.stringify(boxes().map(b => b.type === "radio" || b.type === "checkbox" ? b.checked : b.value))); } catch { /* full */ } line(); });
}
sections.forEach(figure);
window.addEventListener("online", send);
window.addEventListener("hashchange", () => { const id = location.hash.slice(6); if (byId.has(id) && id !== current) show(id, true); });
window.addEventListener("beforeunload", ev => { if (waiting.length && !navigator.serviceWorker?.controller) ev.preventDefault(); });
if (window.matchMedia("(max-width: 59.99rem)").matches) list.open = false;
root.querySelector("[data-foot]").hidden = false;
root.classList.add("one-at-a-time");
waiting = await queued();
for (const c of await held()) if (c.refused && byId.has(c.step)) { refusal(c); fill(c); }
const wanted = location.hash.slice(6);
const first = byId.has(wanted) ? byId.get(wanted) : nextOpen(null) || sections[0];
show(first.dataset.step, false);
root.dataset.ready = "yes";
setInterval(() => { if (document.visibilityState === "visible") (waiting.length ? send() : look()); }, 4000);
waiting.length ? send() : look(0);
if ("serviceWorker" in navigator) navigator.serviceWorker.register("/sw.js").then(async () => {
  const ready = await navigator.serviceWorker.ready;
  ready.active.postMessage({keep: [location.pathname, ...[...document.querySelectorAll("link[rel=stylesheet], link[rel=icon], script[src]")].map(e => e.href || e.src)]});
  root.dataset.kept = "yes";
}).catch(() => {});
})();
