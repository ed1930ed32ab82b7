// The cases that this browser keeps, the last few: nothing leaves it. Pages that are opened from disk
// share one store, so every page, and every tab of one, keeps its own case beside those of the others.
import { remember, remembered } from '../../../report/page/src/memory.js';

const most = 6;
const name = 'live.cases';

// This tab's own, over a reload.
function tabId() {
  const fresh = `${Date.now().toString(36)}-${Math.random().toString(36).slice(2, 8)}`;
  try {
    const own = sessionStorage.getItem('pulsewright.live.tab') ?? fresh;
    sessionStorage.setItem('pulsewright.live.tab', own);
    return own;
  } catch {
    return fresh;
  }
}
const id = tabId();

// [{ id, name, text, from, date }], the last one first. from: the text with which the page was made that
// it belongs to, null without.
export function keptCases() {
  try {
    const list = JSON.parse(remembered(name));
    return Array.isArray(list) ? list.filter((one) => typeof one?.text === 'string' && one.text !== '') : [];
  } catch {
    return [];
  }
}

// The one to go on with on a page that was made with this text, or null: that of this tab, else the last.
export function keptFor(from) {
  const all = keptCases().filter((one) => one.from === from);
  return all.find((one) => one.id === id) ?? all[0] ?? null;
}

// Whether it is kept.
export function keep(one) {
  const others = keptCases().filter((other) => other.id !== id);
  return remember(name, JSON.stringify([{ ...one, id, date: new Date().toISOString().slice(0, 16).replace('T', ' ') }, ...others].slice(0, most)));
}
