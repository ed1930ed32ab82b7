// The bar that selects header, speed and cylinder for all sections that show one header at one speed.
import { make, foreign, select } from './dom.js';
import { choice, choose, onChange } from './choice.js';
import { headers, rpm, speeds } from './study.js';

export function selectionBar() {
  const header = select(
    'Header',
    () => headers.map((header, i) => [String(i), header.name]),
    () => choice.header,
    (value) => choose({ header: Number(value) })
  );
  const cylinder = select(
    'Cylinder',
    () => headers[choice.header].cylinders.map((number, i) => [String(i), String(number)]),
    () => choice.cylinder,
    (value) => choose({ cylinder: Number(value) })
  );
  const slider = make('input', {
    type: 'range',
    id: 'speed-slider',
    min: 0,
    max: speeds.length - 1,
    step: 1,
    value: choice.speed,
    oninput: (event) => choose({ speed: Number(event.target.value) }),
  });
  const shownSpeed = make('output', { for: 'speed-slider', id: 'speed-shown' });
  const show = () => {
    slider.value = choice.speed;
    slider.setAttribute('aria-valuetext', rpm(choice.speed));
    shownSpeed.textContent = rpm(choice.speed);
  };
  show();
  onChange(['speed'], show);
  onChange(['headers'], () => {
    slider.max = speeds.length - 1;
    show();
  });
  onChange(['header', 'cylinder', 'headers'], () => {
    header.refresh();
    cylinder.refresh();
  });
  return make(
    'div',
    { class: 'selection controls', role: 'group', 'aria-label': 'Header, speed and cylinder shown' },
    header,
    make('span', { class: 'field wide' }, make('label', { for: 'speed-slider' }, 'Speed'), slider, shownSpeed),
    cylinder
  );
}

// The selected header and speed, for headings and print.
export function selectionText() {
  return [foreign(headers[choice.header].name), ` at ${rpm(choice.speed)}`];
}

// A warning if the selected point is missing, failed, damaged or not converged; null otherwise.
export function missingNote() {
  const point = headers[choice.header].points[choice.speed];
  if (point.status === 'failed') {
    return make('p', { class: 'warning' }, 'This point failed: ', foreign(point.failure));
  }
  if (point.status === 'damaged') {
    return make('p', { class: 'warning' }, 'This point is damaged in the file and left out: ', foreign(point.damage));
  }
  if (point.status === 'missing') return make('p', { class: 'warning' }, 'This point has not been computed.');
  if (point.status === 'not converged') {
    return make('p', { class: 'warning' }, 'This point does not repeat from cycle to cycle: do not rely on its figures.');
  }
  return null;
}
