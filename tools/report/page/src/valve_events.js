// Valve events, as background of a chart over crank angle and in words.
import { ink } from './colours.js';
import { folded, study } from './study.js';

// Spans of crank angle within 0..720.
function spans(from, to) {
  if (to - from >= 720) return [[0, 720]];
  const start = folded(from);
  const end = start + (to - from);
  return end <= 720 ? [[start, end]] : [[start, 720], [0, end - 720]];
}

function overlapSpan() {
  const { valves } = study;
  if (!valves) return null;
  const { intake_opens: from, exhaust_closes: to } = valves;
  return to > from ? [from, to] : null;
}

export function drawValves(plot, names) {
  const { valves } = study;
  if (!valves) return;
  const { ctx: context, bbox } = plot;
  const x = (angle) => plot.valToPos(angle, 'x', true);
  const fill = (from, to, colour, top, height) => {
    context.fillStyle = colour;
    for (const [a, b] of spans(from, to)) context.fillRect(x(a), bbox.top + top, x(b) - x(a), height);
  };
  context.save();
  context.beginPath();
  context.rect(bbox.left, bbox.top, bbox.width, bbox.height);
  context.clip();
  fill(valves.exhaust_opens, valves.exhaust_closes, ink('exhaust-tint'), 0, bbox.height);
  fill(valves.intake_opens, valves.intake_closes, ink('intake-tint'), 0, bbox.height);
  const overlap = overlapSpan();
  if (overlap) fill(...overlap, ink('overlap-tint'), 0, bbox.height);
  const ratio = devicePixelRatio;
  context.strokeStyle = ink('muted');
  context.lineWidth = ratio;
  context.setLineDash([3 * ratio, 3 * ratio]);
  context.font = `${11 * ratio}px system-ui, sans-serif`;
  context.fillStyle = ink('muted');
  const marks = [
    ['EVO', valves.exhaust_opens, 'left'],
    ['IVO', valves.intake_opens, 'right'],
    ['EVC', valves.exhaust_closes, 'left'],
    ['IVC', valves.intake_closes, 'left'],
  ];
  for (const [name, angle, align] of marks) {
    const at = x(folded(angle));
    context.beginPath();
    context.moveTo(at, bbox.top);
    context.lineTo(at, bbox.top + bbox.height);
    context.stroke();
    if (!names) continue;
    context.textAlign = align;
    context.fillText(name, at + (align === 'left' ? 4 : -4) * ratio, bbox.top + 12 * ratio);
  }
  context.restore();
}

export function valveList() {
  const { valves } = study;
  if (!valves) return 'The case file in the results could not be read, so valve events are not shown.';
  const deg = (angle) => `${folded(angle).toFixed(0)} deg`;
  return (
    `Exhaust valve opens (EVO) at ${deg(valves.exhaust_opens)} and closes (EVC) at ${deg(valves.exhaust_closes)}, ` +
    `intake valve opens (IVO) at ${deg(valves.intake_opens)} and closes (IVC) at ${deg(valves.intake_closes)}.`
  );
}
