/* Claims of one job: kept by the browser until the book says that it has them, and sent once each.
   Works over plain HTTP, where browsers offer neither service workers nor Web Crypto. */
import {clock} from "./clock.js";

const AFTER = {done: "done", skipped: "skipped", reopened: "open", settled: "done"};
const random = () => [...crypto.getRandomValues(new Uint8Array(16))].map(b => b.toString(16).padStart(2, "0")).join("");

/* The queue of the job of a page. `drawn`: how each step stood when the page was drawn, by its id; `changed` is called when anything
   changed, `refused` with a claim that the book does not take. */
export async function openQueue(root, drawn, changed, refused) {
  const JOB = root.dataset.job, TICKET = root.dataset.ticket;
  const q = {last: Number(root.dataset.last), waiting: [], trouble: "", why: "", reached: true, states: new Map()};
  let sending = false;
  for (const [id, is] of drawn) q.states.set(id, {standing: is, problems: [], otherwise: [], said: [], rival: null, asDrawn: true}); /* until the book tells */
  const db = await new Promise((good, bad) => {
    const r = indexedDB.open("wheelside", 1);
    r.onupgradeneeded = () => r.result.createObjectStore("queue", {keyPath: "client"});
    r.onsuccess = () => good(r.result); r.onerror = () => bad(r.error);
  });
  const store = (mode, work) => new Promise((good, bad) => {
    const t = db.transaction("queue", mode, {durability: "strict"}), r = work(t.objectStore("queue"));
    t.oncomplete = () => good(r && r.result); t.onerror = t.onabort = () => bad(t.error);
  });
  const held = async () => (await store("readonly", s => s.getAll())).filter(c => c.job === JOB).sort((a, b) => a.order - b.order);
  const queued = async () => (await held()).filter(c => !c.refused);
  const put = claim => store("readwrite", s => s.put(claim));
  const drop = clients => store("readwrite", s => clients.forEach(c => s.delete(c)));
  const device = (() => {
    try { let d = sessionStorage.getItem("wheelside-device"); if (!d) { d = random(); sessionStorage.setItem("wheelside-device", d); } return d; } /* each window is one */
    catch { return root.dataset.device || random(); }
  })();

  /* --- how a step stands, with what waits here counted --- */
  q.mine = id => q.waiting.filter(c => c.step === id).pop();
  q.standing = id => { const mine = q.mine(id); return mine ? AFTER[mine.kind] : q.states.get(id).standing; };
  q.finished = id => ["done", "skipped"].includes(q.standing(id));
  q.said = id => { /* what holds at a step: its answers, null while there is no claim that it is done */
    const mine = q.mine(id);
    if (mine) return mine.kind === "done" ? mine.answers : mine.kind === "settled" ? q.states.get(id).said : null;
    const state = q.states.get(id);
    return state && state.standing !== "open" && state.standing !== "skipped" ? state.said : null;
  };

  q.claim = async (id, kind, more) => {
    const at = clock(), c = Object.assign({client: random(), job: JOB, step: id, kind, at_us: at.getTime() * 1000, offset_min: -at.getTimezoneOffset(),
      device, seen: q.last, answers: [], reason: "", keep: "", instrument: "", order: at.getTime() + q.waiting.length / 1000}, more);
    try {
      await drop((await held()).filter(o => o.refused && o.step === id).map(o => o.client));
      await put(c);
    } catch (e) { [q.trouble, q.why] = ["full", "This phone could not keep the answer (" + e + "): write it down, free some room."]; changed(); return false; }
    forget(id);
    q.waiting = await queued(); changed(); send();
    return true;
  };
  q.taken = async id => { /* whether to go on: not where the book says at once that the answer has to be corrected */
    for (let n = 0; q.reached && n < 15 && q.waiting.some(c => c.step === id); n++) await new Promise(good => setTimeout(good, 100));
    return q.states.get(id).standing !== "to-correct";
  };

  /* --- sending: photos first, then claims in their order; what the book acknowledges is dropped here --- */
  async function refuse(c, why) { c.refused = why; await put(c); refusal(c); refused(c); } /* set aside with what it said: the person mends it, and the others go on */
  function refusal(c) {
    const text = "The book does not take this answer: " + c.refused + " Answer again.";
    q.states.set(c.step, {...q.states.get(c.step), standing: "to-correct", asDrawn: false, refusedHere: true, problems: [text], refused: {}});
  }
  async function call(path, options = {}) {
    const stop = new AbortController(), timer = setTimeout(() => stop.abort(), options.body instanceof Blob ? 180000 : 15000);
    try {
      const r = await fetch(path, {credentials: "same-origin", cache: "no-store", signal: stop.signal, ...options, headers: {"X-Wheelside-Ticket": TICKET, ...(options.headers || {})}});
      q.reached = true;
      if (r.status === 401) navigator.serviceWorker?.controller?.postMessage({forget: true});
      if (r.status === 401 || r.status === 403) { [q.trouble, q.why] = ["out", "This phone was disconnected: let it in again under Settings on a device that is in. Its answers stay on this phone until then."]; throw new Error("out"); }
      return r;
    } catch (e) { if (e.message !== "out") q.reached = false; throw e; } finally { clearTimeout(timer); }
  }
  async function photos(all) {
    for (const c of all) for (const a of c.answers) if (a.file) {
      const r = await call(`/api/jobs/${JOB}/photos`, {method: "POST", body: a.file, headers: {"content-type": a.file.type || "image/jpeg"}});
      if (r.ok) a.photo = (await r.json()).photo;
      else if (r.status < 500) a.words = `photo not kept: ${(await r.json()).error}`;
      else throw new Error("photo " + r.status);
      a.file = null; await put(c);
    }
  }
  async function send() {
    if (sending) return;
    sending = true;
    let most = 20;
    try {
      for (;;) {
        const all = await queued();
        if (!all.length) break;
        await photos(all);
        const some = all.slice(0, most);
        const claims = some.map(({job, order, ...c}) => ({...c, answers: c.answers.map(({ask, said, words, photo}) => ({ask, said, words, photo}))}));
        const r = await call(`/api/jobs/${JOB}/evidence`, {method: "POST", body: JSON.stringify({claims}), headers: {"content-type": "application/json"}});
        if (!r.ok && (r.status >= 500 || r.status === 408 || r.status === 429)) throw new Error("evidence " + r.status);
        if (!r.ok && some.length > 1) { most = 1; continue; } /* one of them: find it */
        if (!r.ok) { await refuse(some[0], (await r.json()).error || String(r.status)); most = 20; continue; }
        const got = await r.json();
        for (const c of some) Object.assign(q.states.get(c.step), {standing: AFTER[c.kind], said: c.kind === "done" ? c.answers : q.states.get(c.step).said}); /* until the book tells how they stand */
        await drop(some.map(c => c.client).filter(c => got.kept.includes(c)));
        q.trouble = "";
        await look(0);
      }
      if (q.trouble === "away") q.trouble = "";
    } catch { /* it is tried again in a few seconds */
    } finally { sending = false; q.waiting = await queued(); changed(); }
  }
  async function look(after = q.last) {
    try {
      const r = await call(`/api/jobs/${JOB}/evidence?after=${after}`);
      if (!r.ok) return;
      const got = await r.json();
      const late = got.last < q.last; /* an answer that was overtaken by a newer one */
      if (!late) { q.last = got.last; root.dataset.last = q.last; }
      if (got.steps && !late) for (const s of got.steps) q.states.set(s.id, s);
      for (const c of await held()) if (c.refused && q.states.has(c.step)) refusal(c);
      if (!q.waiting.length) q.trouble = "";
      q.waiting = await queued(); changed();
    } catch {
      if (!q.trouble) [q.trouble, q.why] = ["away", "The book can't be reached; go on, nothing is lost."];
      changed(); if (q.trouble !== "out") q.trouble = "";
    }
  }
  const turn = () => q.waiting.length ? send() : look();

  q.begin = () => { /* from now on what waits is sent, and what others said is looked for */
    window.addEventListener("online", send);
    window.addEventListener("beforeunload", ev => { if (q.waiting.length && !navigator.serviceWorker?.controller) ev.preventDefault(); });
    setInterval(() => { if (document.visibilityState === "visible") turn(); }, 4000);
    q.waiting.length ? send() : look(0);
    keepPage(root);
  };

  /* --- what is being typed outlasts a reload: phones drop a page while the camera is open --- */
  const draft = id => "wheelside-draft-" + JOB + "-" + id;
  q.drafted = id => { try { return sessionStorage.getItem(draft(id)) !== null; } catch { return false; } };
  function forget(id) { try { sessionStorage.removeItem(draft(id)); } catch { /* no drafts then */ } }
  q.forget = forget;
  q.drafts = (id, form, after) => {
    const boxes = () => [...form.querySelectorAll("[name^='a-'], [name^='k-'], [name^='n-'], [name^='w-'], select")], ticks = b => b.type === "radio" || b.type === "checkbox";
    try {
      const old = JSON.parse(sessionStorage.getItem(draft(id)) || "null");
      if (old) boxes().forEach((b, i) => { if (ticks(b)) b.checked = !!old[i]; else b.value = old[i] ?? ""; });
    } catch { /* a draft of another sheet */ }
    form.addEventListener("input", () => { try { sessionStorage.setItem(draft(id), JSON.stringify(boxes().map(b => ticks(b) ? b.checked : b.value))); } catch { /* full */ } after(); });
  };

  q.waiting = await queued();
  q.wasRefused = async () => { for (const c of await held()) if (c.refused && q.states.has(c.step)) { refusal(c); refused(c); } };
  return q;
}

/* A photo is made smaller here, where that can be done; the book does it anyway. */
export async function smaller(file) {
  try {
    const picture = await createImageBitmap(file, {imageOrientation: "from-image"}), by = Math.min(1, 1600 / Math.max(picture.width, picture.height));
    const canvas = Object.assign(document.createElement("canvas"), {width: Math.round(picture.width * by), height: Math.round(picture.height * by)});
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    return await new Promise((good, bad) => canvas.toBlob(b => b ? good(b) : bad(), "image/jpeg", 0.85));
  } catch { return file; }
}

/* What one claim of two says, on a line. */
export const inWords = k => `${k.by || "Somebody"}, ${k.at}: ${k.reason ? "skipped, " + k.reason : k.said.map(a => [a.shown || a.said, a.words].filter(Boolean).join(", ")).filter(Boolean).join("; ")}`;

/* Both claims of a step that is two different answers, each with a button that says that it holds. */
export function rivals(state, settle) {
  const box = document.createElement("div"), head = document.createElement("p");
  box.className = "note"; head.textContent = "Two phones claim two things here. Pick the one that holds:"; box.append(head);
  for (const k of [{client: state.client, by: state.by, at: state.at, said: state.said, reason: state.reason}, state.rival]) {
    const p = document.createElement("p"), b = document.createElement("button");
    p.textContent = inWords(k); b.type = "button"; b.className = "plain"; b.textContent = "This one holds";
    b.addEventListener("click", () => settle(k.client));
    box.append(p, b);
  }
  return box;
}

/* Puts what a claim said back into its step's form. */
export function fill(form, answers, noAnswer) {
  for (const a of answers) for (const box of form.elements) {
    const ticks = box.type === "radio" || box.type === "checkbox";
    if (box.name === "n-" + a.ask) box.checked = a.said === noAnswer;
    else if (box.name === "k-" + a.ask) box.checked = box.value === (a.said === noAnswer || a.said === "as-shown" ? a.said : a.said ? "other" : "");
    else if (box.name === "w-" + a.ask) box.value = a.words;
    else if (box.name === "a-" + a.ask && ticks) box.checked = box.value === a.said;
    else if (box.name === "a-" + a.ask && a.said !== noAnswer && a.said !== "as-shown") box.value = a.said;
  }
}

/* Over TLS the service worker keeps the page with all that it needs; a new version's worker is asked to do so again. */
function keepPage(root) {
  const worker = navigator.serviceWorker;
  if (!worker) return;
  const needs = document.querySelectorAll("link[rel=stylesheet], link[rel=icon], link[rel=modulepreload], script[src]");
  const keep = async () => {
    (await worker.ready).active.postMessage({keep: [location.pathname, ...[...needs].map(e => e.href || e.src)]});
    root.dataset.kept = "yes";
  };
  worker.addEventListener("controllerchange", keep);
  worker.register("/sw.js").then(keep).catch(() => {});
}
