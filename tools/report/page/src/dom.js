// Functions that create elements. Texts become text nodes, never markup.

const svgNames = new Set(['svg', 'g', 'path', 'circle', 'line', 'text', 'polygon', 'rect', 'title', 'desc']);

export function make(tag, attributes = {}, ...children) {
  const isSvg = svgNames.has(tag) && attributes.svg !== false;
  const element = isSvg
    ? document.createElementNS('http://www.w3.org/2000/svg', tag)
    : document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false || name === 'svg') continue;
    if (name.startsWith('on')) element.addEventListener(name.slice(2), value);
    else element.setAttribute(name, value === true ? '' : value);
  }
  element.append(...children.flat().filter((child) => child !== null && child !== undefined));
  return element;
}

// A text from the case file: isolated, with its own writing direction.
export function foreign(text, attributes = {}) {
  return make('bdi', { dir: 'auto', ...attributes }, text);
}

// A frame in which a wide table scrolls, by touch or keyboard.
export function scrollFrame(label, ...children) {
  return make('div', { class: 'scroll', role: 'region', 'aria-label': label, tabindex: '0' }, children);
}

export function table(label, head, rows, attributes = {}) {
  return scrollFrame(
    label,
    make(
      'table',
      attributes,
      make('caption', { class: 'hidden' }, label),
      make('thead', {}, make('tr', {}, head.map((cell) => make('th', { scope: 'col' }, cell)))),
      make(
        'tbody',
        {},
        rows.map((cells) =>
          make(
            'tr',
            {},
            cells.map((cell, i) =>
              i === 0 ? make('th', { scope: 'row' }, cell) : make('td', {}, cell)
            )
          )
        )
      )
    )
  );
}

// A table that is built when it is opened.
export function numbersOnDemand(summary, build) {
  const box = make('details', { class: 'numbers' }, make('summary', {}, summary));
  const body = make('div');
  box.append(body);
  const fill = () => {
    if (box.open) body.replaceChildren(build());
  };
  box.addEventListener('toggle', fill);
  box.refresh = fill;
  return box;
}

let count = 0;
export function freshId(stem) {
  count += 1;
  return `${stem}-${count}`;
}

// A group of buttons of which one is pressed.
export function oneOf(label, options, current, choose) {
  const buttons = options.map(([value, text]) =>
    make(
      'button',
      { type: 'button', 'data-value': value, 'aria-pressed': String(value === current()), onclick: () => choose(value) },
      text
    )
  );
  const group = make('div', { class: 'one-of', role: 'group', 'aria-label': label }, buttons);
  group.refresh = () => {
    for (const button of buttons) {
      button.setAttribute('aria-pressed', String(button.dataset.value === String(current())));
    }
  };
  return group;
}

export function select(label, options, current, choose) {
  const id = freshId('select');
  const box = make('select', { id, onchange: (event) => choose(event.target.value) });
  const holder = make('span', { class: 'field' }, make('label', { for: id }, label), box);
  holder.refresh = () => {
    box.replaceChildren(
      ...options().map(([value, text]) =>
        make('option', { value, selected: String(value) === String(current()) }, text)
      )
    );
  };
  holder.refresh();
  return holder;
}
