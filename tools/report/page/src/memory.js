// What a reader's browser keeps of this page: nothing leaves it. A browser that keeps nothing for a
// file, or forbids it, is as good as one that has not been asked yet.

const stem = 'pulsewright.';

export function remembered(name) {
  try {
    return localStorage.getItem(stem + name);
  } catch {
    return null;
  }
}

// Whether it is kept; what is not lasts until the page is closed.
export function remember(name, value) {
  try {
    localStorage.setItem(stem + name, value);
    return true;
  } catch {
    return false;
  }
}
