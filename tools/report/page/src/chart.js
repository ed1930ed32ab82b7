// A chart: uPlot with the style of the page, a readout at the cursor, and arrow keys to move it.
import uPlot from 'uplot';
import 'uplot/dist/uPlot.min.css';
import { make } from './dom.js';
import { ink } from './colours.js';

const charts = new Set();
const reading = make('div', { class: 'hidden', 'aria-live': 'polite', id: 'reading' });
document.body.append(reading);

export function refreshCharts() {
  for (const chart of charts) chart.refresh();
}

// In print the layout cannot be measured, so charts are given their printed width, CSS px: that of
// the paper, less what the style sheet puts between columns and round the plot.
const columnGap = 10;
const frame = 14;
let paperWidth = null;
export function setPaperWidth(width) {
  paperWidth = width;
  refreshCharts();
}

function axis(label, more = {}) {
  return {
    stroke: ink('muted'),
    grid: { stroke: ink('grid'), width: 1 },
    ticks: { stroke: ink('grid'), width: 1, size: 4 },
    font: '12px system-ui, sans-serif',
    labelFont: '12px system-ui, sans-serif',
    label,
    labelSize: 18,
    labelGap: 0,
    size: 46,
    values: (_, splits) => splits.map((v) => (v === null ? '' : String(Number(v.toPrecision(6))))),
    ...more,
  };
}

export function axisX(label, more = {}) {
  return axis(label, { size: 30, space: 56, ...more });
}

export function axisY(label, more = {}) {
  return axis(label, { space: 36, ...more });
}

// describe() gives { data, series, axes, scales?, bands?, hooks?, reading(index) -> [title, lines] }
// with lines of { colour, text }. Charts with the same `sync` have a common cursor.
export class Chart {
  constructor({ name, title, label, height, paperHeight, sync, columns, describe }) {
    this.describe = describe;
    this.heights = { screen: height, paper: paperHeight ?? height };
    this.columns = columns ?? 1; // of charts beside each other on paper
    this.sync = sync;
    this.label = label;
    this.caption = make('figcaption', {}, title());
    this.title = title;
    this.frame = make('div', {
      class: 'plot',
      'data-chart': name,
      tabindex: '0',
      role: 'img',
      'aria-label': label(),
    });
    this.frame.addEventListener('keydown', (event) => this.onKey(event));
    this.element = make('figure', { class: 'chart' }, this.caption, this.frame);
    this.tip = make('div', { class: 'tip', hidden: true });
    this.observer = new ResizeObserver(() => this.fit());
    this.observer.observe(this.frame);
    charts.add(this);
  }

  close() {
    charts.delete(this);
    this.observer.disconnect();
    this.plot?.destroy();
    this.element.remove();
  }

  width() {
    if (paperWidth) return Math.floor((paperWidth - columnGap * (this.columns - 1)) / this.columns) - frame;
    return Math.floor(this.frame.clientWidth);
  }

  height() {
    return paperWidth ? this.heights.paper : this.heights.screen;
  }

  fit() {
    const width = this.width();
    if (width === 0) return;
    if (!this.plot) this.refresh();
    else if (width !== this.plot.width) this.plot.setSize({ width, height: this.height() });
  }

  refresh() {
    const width = this.width();
    if (width === 0) return;
    const { data, reading: read, hooks = {}, ...options } = this.describe(width);
    this.caption.textContent = this.title();
    this.frame.setAttribute('aria-label', `${this.label()} Arrow keys read values.`);
    this.read = read;
    this.plot?.destroy();
    this.plot = new uPlot(
      {
        width,
        height: this.height(),
        legend: { show: false },
        padding: [8, 26, 0, 0],
        cursor: {
          y: false,
          drag: { x: false, y: false },
          points: { size: 6 },
          sync: this.sync ? { key: this.sync, setSeries: false, scales: ['x', null] } : undefined,
        },
        ...options,
        hooks: { ...hooks, setCursor: [() => this.showTip(), ...(hooks.setCursor ?? [])] },
      },
      data,
      this.frame
    );
    this.plot.over.append(this.tip);
    this.tip.hidden = true;
  }

  showTip() {
    const { idx, left } = this.plot?.cursor ?? {};
    if (idx === null || idx === undefined || left < 0) {
      this.tip.hidden = true;
      return;
    }
    const [title, lines] = this.read(idx);
    this.tip.replaceChildren(
      make('strong', {}, title),
      ...lines.map(({ colour, text }) =>
        make('div', {}, make('span', { class: 'dot', style: `background:${colour}` }), text)
      )
    );
    this.tip.hidden = false;
    const right = left > this.plot.over.clientWidth / 2;
    this.tip.style.left = right ? 'auto' : `${left + 10}px`;
    this.tip.style.right = right ? `${this.plot.over.clientWidth - left + 10}px` : 'auto';
  }

  onKey(event) {
    if (!this.plot) return;
    const xs = this.plot.data[0];
    const { min, max } = this.plot.scales.x;
    const first = xs.findIndex((x) => x >= min);
    const last = xs.findLastIndex((x) => x <= max);
    const at = this.plot.cursor.left >= 0 ? (this.plot.cursor.idx ?? null) : null;
    const stride = last - first > 200 ? 10 : 1;
    const target = {
      ArrowRight: at === null ? first : at + stride,
      ArrowLeft: at === null ? last : at - stride,
      Home: first,
      End: last,
    }[event.key];
    if (event.key === 'Escape') {
      this.plot.setCursor({ left: -10, top: -10 });
      return;
    }
    if (target === undefined || first < 0 || last < first) return;
    event.preventDefault();
    const index = Math.min(last, Math.max(first, target));
    const left = this.plot.valToPos(xs[index], 'x');
    this.plot.setCursor({ left, top: this.plot.over.clientHeight / 2 });
    const [title, lines] = this.read(index);
    reading.textContent = `${title}: ${lines.map(({ text }) => text).join(', ')}`;
  }
}
