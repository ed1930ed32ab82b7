// Parts of the pages of searches: a section, a table whose cells are coloured by their numbers, and
// lines over a common axis.
import { make, scrollFrame } from './dom.js';
import { Chart, axisX, axisY } from './chart.js';
import { onChange } from './choice.js';
import { diverging, ink, inkOn, lineColour, lineDash } from './colours.js';
import { shown, unit } from './units.js';

export function section(id, heading, ...children) {
  return make('section', { id, 'aria-labelledby': `${id}-title` }, make('h2', { id: `${id}-title` }, heading), ...children);
}

// A part of the page that is built anew when the units or the theme change.
export function redrawn(build) {
  const box = make('div');
  const fill = () => box.replaceChildren(build());
  fill();
  onChange(['units', 'theme'], fill);
  return box;
}

// Cells: { value (SI or null), text, strong?, title? }; colours run from the least to the greatest
// of the values, or about zero where `aboutZero`.
export function colouredTable(label, head, rows, { aboutZero = false, data } = {}) {
  const values = rows.flatMap(({ cells }) => cells.map((cell) => cell.value)).filter((v) => v !== null && Number.isFinite(v));
  const least = Math.min(...values);
  const greatest = Math.max(...values);
  const extent = Math.max(Math.abs(least), Math.abs(greatest));
  const place = (v) => {
    if (aboutZero) return extent > 0 ? v / extent : 0;
    return greatest > least ? (2 * (v - least)) / (greatest - least) - 1 : 0;
  };
  const cellOf = ({ value, text, strong, title }) => {
    if (value === null || !Number.isFinite(value)) return make('td', {}, text);
    const rgb = diverging(place(value));
    const style = `background: rgb(${rgb.join(' ')}); color: ${inkOn(rgb)}`;
    return make('td', { style, title }, strong ? make('strong', {}, text) : text);
  };
  return scrollFrame(
    label,
    make(
      'table',
      { class: 'coloured', 'data-map': data },
      make('caption', { class: 'hidden' }, label),
      make('thead', {}, make('tr', {}, head.map((cell) => make('th', { scope: 'col' }, cell)))),
      make('tbody', {}, rows.map(({ heading, cells }) => make('tr', {}, make('th', { scope: 'row' }, heading), cells.map(cellOf))))
    )
  );
}

// Lines over xs: [{ name, values (SI or null) }], of a quantity of the units; xs() in what the
// reader's units show. shade(): { from, to } in the same, or null. title: a text, or a function that
// gives it in the reader's units.
export function lineChart({ name, title, xName, xs, lines, kind, shade = () => null, points = false, xText }) {
  const describe = () => {
    const u = unit(kind);
    const x = xs();
    const drawShade = (plot) => {
      const stretch = shade();
      if (!stretch) return;
      const [from, to] = [stretch.from, stretch.to].map((v) => plot.valToPos(v, 'x', true));
      plot.ctx.save();
      plot.ctx.fillStyle = ink('band');
      plot.ctx.fillRect(from, plot.bbox.top, to - from, plot.bbox.height);
      plot.ctx.restore();
    };
    return {
      data: [x, ...lines.map(({ values }) => values.map((v) => (v === null ? null : v * u.factor)))],
      series: [{}, ...lines.map((_, i) => ({ stroke: lineColour(i), width: 2, dash: lineDash(i), points: { show: points, size: 6 } }))],
      scales: { x: { time: false } },
      axes: [axisX(xName()), axisY(u.name)],
      hooks: { drawClear: [drawShade] },
      reading: (s) => [
        xText(s),
        lines.map(({ name: of, values }, i) => ({ colour: lineColour(i), text: `${of} ${shown(values[s], kind)} ${u.name}` })),
      ],
    };
  };
  const titled = typeof title === 'function' ? title : () => title;
  const chart = new Chart({ name, title: titled, label: () => `${titled()} for ${lines.map((l) => l.name).join(', ')}.`, height: 260, describe });
  onChange(['units'], () => chart.refresh());
  const legend = redrawn(() =>
    make('p', { class: 'quiet small' }, lines.map(({ name: of }, i) => make('span', {}, make('span', { style: `color: ${lineColour(i)}` }, '■ '), `${of}  `)))
  );
  return make('div', {}, chart.element, lines.length > 1 ? legend : null);
}
