/* Cautions: each is read in full before the first such act of a sitting, by each person on each phone; again where a sitting is taken up
   after two hours; those of single acts each time. */
import {clock, since} from "./clock.js";

export const TAKEN_UP_S = 2 * 60 * 60;

export function careOf(root) {
  const key = "wheelside-read-" + root.dataset.job + "-" + root.dataset.person;
  let kept = {sittings: {}, acts: {}};
  const load = () => { try { kept = JSON.parse(localStorage.getItem(key)) || kept; } catch { /* private browsing: for as long as the page is open */ } };
  const save = () => { try { localStorage.setItem(key, JSON.stringify(kept)); } catch { /* likewise */ } };
  const words = text => (text || "").split(" ").filter(Boolean);
  const fresh = name => { const one = kept.sittings[name]; return one && since(one.at) < TAKEN_UP_S ? one : null; };
  const act = id => kept.acts[id] && since(kept.acts[id]) < TAKEN_UP_S;

  /* What is still to be read: before any act of these steps, and before the act of the step in hand. */
  function wanted(sitting, steps, inHand) {
    load();
    const read = fresh(sitting)?.read || [];
    const once = steps.flatMap(s => words(s.dataset.care)).filter(c => !read.includes(c));
    const each = inHand && !act(inHand.dataset.step) ? words(inHand.dataset.each) : [];
    return [...new Set([...once, ...each])];
  }
  function confirm(sitting, codes, inHand) {
    load();
    const now = clock().getTime();
    kept.sittings[sitting] = {at: now, read: [...new Set([...(fresh(sitting)?.read || []), ...codes])]};
    if (inHand) kept.acts[inHand.dataset.step] = now;
    save();
  }
  /* Something was done: the sitting goes on, and what was read for this act alone is used up. */
  function acted(sitting, step) {
    load();
    if (fresh(sitting)) kept.sittings[sitting].at = clock().getTime();
    delete kept.acts[step.dataset.step];
    save();
  }
  return {wanted, confirm, acted};
}
