// Positions of the pipes and junctions of a header in its drawing, for any network. Lengths are to
// scale along x; the longest way out of each junction ends at the right edge, so that tubes of
// unequal length start at different x. Between a pipe and the next one is a gap, not to scale, with
// the junction in its middle. A pipe that connects two ways out, as the bar of an H, gets a row of
// its own between them.

const gap = 0.09; // m
export const smallestRow = 0.085; // m between two primaries
const groupGap = 0.05; // m more between two collectors

// drawing: { pipes, nodes, paths, groups } of report_data. Returns, in m with y downwards:
//   pipes   [{ x, y of the start's centre, cylinder or null, crossover, ...pipe }]
//   nodes   [{ x, y, ...node }] of junctions; null for all others
//   width, height
// leastRow: m between two primaries at least.
export function layOut(drawing, leastRow = smallestRow) {
  const { pipes, nodes } = drawing;
  const isJunction = (node) => node >= 0 && nodes[node].kind === 'junction';
  const crossovers = findCrossovers(drawing, isJunction);
  const along = pipes.map((_, i) => i).filter((i) => !crossovers.has(i));
  const leaving = nodes.map((_, n) => along.filter((i) => pipes[i].from === n && isJunction(n)));
  const entering = nodes.map((_, n) => along.filter((i) => pipes[i].to === n && isJunction(n)));

  // The vessel of a resonator: one pipe leads into it from another junction, none out of it.
  const isVessel = (node) =>
    isJunction(node) && leaving[node].length === 0 && entering[node].length === 1 && isJunction(pipes[entering[node][0]].from);

  // x, 0 at the right edge: of a junction, where the pipes end that enter it.
  const joins = new Map();
  const joinOf = (node) => {
    if (!joins.has(node)) {
      joins.set(node, 0); // what a loop of pipes comes back to
      const starts = leaving[node].map((i) => (isJunction(pipes[i].to) ? joinOf(pipes[i].to) : 0) - pipes[i].length);
      joins.set(node, Math.min(0, ...starts) - (starts.length > 0 ? gap : 0));
    }
    return joins.get(node);
  };
  const startOf = (i) => {
    const { from, to, length } = pipes[i];
    if (crossovers.has(i)) return 0.5 * (joinOf(from) + joinOf(to) + gap - length);
    if (isJunction(to) && !isVessel(to)) return joinOf(to) - length;
    return isJunction(from) ? joinOf(from) + gap : -length;
  };

  const endOf = (i) => startOf(i) + pipes[i].length;
  const row = rowOf(drawing, leastRow);
  const rows = placeRows(drawing, row, { isJunction, crossovers, leaving, entering });
  const placed = pipes.map((pipe, i) => ({
    ...pipe,
    x: startOf(i),
    y: rows.pipes.get(i),
    cylinder: pipe.from >= 0 ? (nodes[pipe.from].cylinder ?? null) : null,
    crossover: crossovers.has(i),
  }));
  const left = Math.min(...placed.map(({ x }) => x));
  for (const pipe of placed) pipe.x -= left;
  const junctions = nodes.map((node, n) =>
    isJunction(n) ? { ...node, x: (isVessel(n) ? endOf(entering[n][0]) : joinOf(n)) + 0.5 * gap - left, y: rows.nodes.get(n) } : null
  );
  moveApart(placed, junctions);
  const above = 0.5 * row - Math.min(...placed.map(({ y }) => y));
  for (const one of [...placed, ...junctions]) if (one && above > 0) one.y += above;
  return {
    pipes: placed,
    nodes: junctions,
    width: Math.max(...placed.map(({ x, length }) => x + length)),
    height: Math.max(...placed.map(({ y }) => y)) + 0.5 * row,
  };
}

function rowOf({ pipes, nodes }, leastRow) {
  const first = pipes.filter(({ from }) => from >= 0 && nodes[from].kind === 'cylinder');
  return Math.max(leastRow, ...first.map((pipe) => 1.4 * largestDiameter(pipe)));
}

// Pipes between two junctions that both have another way: out of the first, into the second, and
// none from the first to the second.
function findCrossovers({ pipes, nodes }, isJunction) {
  const found = new Set();
  const others = (i, key) => pipes.some((pipe, k) => k !== i && !found.has(k) && pipe[key] === pipes[i][key]);
  const reaches = (node, target, without, seen = new Set()) => {
    if (node === target) return true;
    if (node < 0 || seen.has(node)) return false;
    seen.add(node);
    return pipes.some(
      (pipe, k) => k !== without && !found.has(k) && pipe.from === node && nodes[node].kind === 'junction' && reaches(pipe.to, target, without, seen)
    );
  };
  pipes.forEach(({ from, to }, i) => {
    if (!isJunction(from) || !isJunction(to) || from === to) return;
    if (others(i, 'from') && others(i, 'to') && !reaches(from, to, i)) found.add(i);
  });
  return found;
}

// y of every pipe and junction.
function placeRows(drawing, row, { isJunction, crossovers, leaving, entering }) {
  const { pipes } = drawing;
  const y = new Map();
  const nodeY = new Map();
  const chains = new Map();
  // The ways out behind a pipe, the last first.
  const chainOf = (i, seen = []) => {
    if (chains.has(i)) return chains.get(i);
    const next = isJunction(pipes[i].to) ? leaving[pipes[i].to].find((k) => !seen.includes(k)) : undefined;
    const chain = next === undefined ? [i] : [...chainOf(next, [...seen, i]), i];
    if (seen.length === 0) chains.set(i, chain);
    return chain;
  };
  const places = positions(drawing);
  const first = pipes.map((_, i) => i).filter((i) => !isJunction(pipes[i].from));
  const place = (i) => places.get(drawing.nodes[pipes[i].from]?.cylinder) ?? 0;
  first.sort((a, b) => place(a) - place(b) || compare(chainOf(a), chainOf(b)));
  let depth = 0.5 * row;
  let last = null;
  for (const i of first) {
    const [outlet] = chainOf(i);
    if (last !== null && outlet !== last) depth += groupGap;
    last = outlet;
    y.set(i, depth);
    depth += row;
  }
  const mean = (values) => values.reduce((sum, v) => sum + v, 0) / values.length;
  const heightOf = (i) => {
    if (!y.has(i)) {
      y.set(i, 0.5 * row); // what a loop of pipes comes back to
      const node = pipes[i].from;
      const feeding = entering[node].map(heightOf).sort((a, b) => a - b);
      const out = leaving[node];
      nodeY.set(node, feeding.length > 0 ? mean(feeding) : depth);
      out.forEach((k, at) => {
        const straight = feeding.length === out.length && out.length > 1;
        y.set(k, straight ? feeding[at] : nodeY.get(node) + (at - 0.5 * (out.length - 1)) * row);
      });
    }
    return y.get(i);
  };
  pipes.forEach((_, i) => { if (!crossovers.has(i)) heightOf(i); });
  drawing.nodes.forEach((_, n) => {
    if (isJunction(n) && !nodeY.has(n)) nodeY.set(n, mean(entering[n].map(heightOf)) || depth);
  });
  for (const i of crossovers) {
    const middle = 0.5 * (nodeY.get(pipes[i].from) + nodeY.get(pipes[i].to));
    for (const heights of [y, nodeY]) {
      for (const [key, value] of heights) if (value > middle) heights.set(key, value + row);
    }
    y.set(i, middle + 0.5 * row);
  }
  return { pipes: y, nodes: nodeY };
}

// Where pipes lie on each other, the lower one and all below it move down.
function moveApart(pipes, junctions) {
  const room = 0.01; // m
  for (let round = 0; round < pipes.length; round += 1) {
    const sorted = [...pipes].sort((a, b) => a.y - b.y);
    let moved = false;
    for (let k = 1; k < sorted.length && !moved; k += 1) {
      const low = sorted[k];
      for (const high of sorted.slice(0, k)) {
        if (high.x + high.length <= low.x || low.x + low.length <= high.x) continue;
        const missing = 0.5 * (largestDiameter(high) + largestDiameter(low)) + room - (low.y - high.y);
        if (missing <= 0) continue;
        const from = low.y;
        for (const pipe of sorted.slice(k)) pipe.y += missing;
        for (const node of junctions) if (node && node.y > from) node.y += missing;
        moved = true;
        break;
      }
    }
    if (!moved) return;
  }
}

function compare(a, b) {
  for (let k = 0; k < Math.min(a.length, b.length); k += 1) if (a[k] !== b[k]) return a[k] - b[k];
  return a.length - b.length;
}

// By cylinder: its collector, and within it the position round the collector.
function positions({ groups }) {
  const place = new Map();
  groups.forEach((group, g) => {
    group.cylinders.forEach((cylinder, i) => place.set(cylinder, 1000 * (g + 1) + (group.position[i] ?? i)));
  });
  return place;
}

export function largestDiameter(pipe) {
  return Math.max(...pipe.profile.map(([, diameter]) => diameter));
}

// Inside diameter at x of a pipe, m; linear between the points of its profile.
export function diameterAt(pipe, x) {
  const points = pipe.profile;
  if (x <= points[0][0]) return points[0][1];
  for (let i = 1; i < points.length; i += 1) {
    if (x <= points[i][0]) {
      const t = (x - points[i - 1][0]) / (points[i][0] - points[i - 1][0]);
      return points[i - 1][1] + t * (points[i][1] - points[i - 1][1]);
    }
  }
  return points[points.length - 1][1];
}

// Corners of a pipe's outline, m, from its start's upper edge round to the lower one.
export function outline(pipe) {
  const xs = [...new Set([0, ...pipe.profile.map(([x]) => x).filter((x) => x > 0 && x < pipe.length), pipe.length])];
  const upper = xs.map((x) => [pipe.x + x, pipe.y - 0.5 * diameterAt(pipe, x)]);
  const lower = xs.map((x) => [pipe.x + x, pipe.y + 0.5 * diameterAt(pipe, x)]).reverse();
  return [...upper, ...lower];
}

// The straight pieces and cones of a part of a pipe: [{ length, diameters: [start, end] }], m. A
// change within less than `shortest` is a step and not a piece.
const shortest = 0.005; // m
export function piecesOf(pipe, { from, to }) {
  const xs = [from, ...pipe.profile.map(([x]) => x).filter((x) => x > from && x < to), to];
  const pieces = [];
  for (let k = 0; k + 1 < xs.length; k += 1) {
    const length = xs[k + 1] - xs[k];
    const diameters = [diameterAt(pipe, xs[k]), diameterAt(pipe, xs[k + 1])];
    const last = pieces[pieces.length - 1];
    const straight = Math.abs(diameters[0] - diameters[1]) < 1e-6;
    if (last && straight && Math.abs(last.diameters[0] - last.diameters[1]) < 1e-6 && Math.abs(last.diameters[1] - diameters[0]) < 1e-6) {
      last.length += length;
    } else if (straight || length >= shortest) {
      pieces.push({ length, diameters });
    }
  }
  return pieces;
}
