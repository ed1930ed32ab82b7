// The live page as text, and the case that it opens with.

const place = ' id="case">'; // of the element that holds it, the first of that name

// `page`, the text of a live page, with this case in place of the one it has.
export function withCase(page, name, text) {
  const data = JSON.stringify({ name, text }).replaceAll('<', '\\u003c');
  const begin = page.indexOf(place) + place.length;
  return `${page.slice(0, begin)}${data}${page.slice(page.indexOf('<', begin))}`;
}
