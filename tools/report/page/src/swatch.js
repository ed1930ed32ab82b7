// A sample of the line that stands for a header in every chart.
import { make } from './dom.js';
import { lineColour, lineDash } from './colours.js';

export function swatch(i) {
  return make(
    'svg',
    { class: 'swatch', viewBox: '0 0 30 10', width: 30, height: 10, 'aria-hidden': 'true', focusable: 'false' },
    make('line', {
      x1: 0,
      x2: 30,
      y1: 5,
      y2: 5,
      stroke: lineColour(i),
      'stroke-width': 3,
      'stroke-dasharray': lineDash(i).join(' ') || null,
    })
  );
}
