// Positions of the pipes of a header in its drawing. Lengths are to scale along x; every path ends at
// the same x, so that tubes of unequal length start at different x. Between a pipe and the next one
// is a gap, not to scale, for the lines that show the connections.

const gap = 0.09; // m
const row = 0.085; // m between two primaries
const groupGap = 0.05; // m more between two collectors

// drawing: { pipes, paths, groups } of report_data. Returns { pipes: [{ x, y, next, cylinder, ...pipe }],
// width, height } in m; y downwards, x of the pipe's start.
export function layOut(drawing) {
  const next = drawing.pipes.map(() => null);
  for (const { pipes } of drawing.paths) {
    for (let k = 0; k + 1 < pipes.length; k += 1) next[pipes[k]] = pipes[k + 1];
  }
  const ends = new Map();
  const startOf = (pipe) => endOf(pipe) - drawing.pipes[pipe].length;
  const endOf = (pipe) => {
    if (!ends.has(pipe)) ends.set(pipe, next[pipe] === null ? 0 : startOf(next[pipe]) - gap);
    return ends.get(pipe);
  };
  const order = rowsInOrder(drawing);
  const y = new Map();
  let depth = 0.5 * row;
  let outlet = null;
  for (const { pipes } of order) {
    const last = pipes[pipes.length - 1];
    if (outlet !== null && last !== outlet) depth += groupGap;
    outlet = last;
    if (y.has(pipes[0])) continue;
    y.set(pipes[0], depth);
    depth += row;
  }
  // A pipe downstream of others is drawn at the mean of their heights.
  const middle = (pipe) => {
    if (y.has(pipe)) return y.get(pipe);
    const feeding = next.map((n, i) => (n === pipe ? i : -1)).filter((i) => i >= 0);
    const value = feeding.reduce((sum, i) => sum + middle(i), 0) / feeding.length;
    y.set(pipe, value);
    return value;
  };
  const left = Math.min(...drawing.pipes.map((_, i) => startOf(i)));
  const cylinders = new Map(drawing.paths.map(({ cylinder, pipes }) => [pipes[0], cylinder]));
  return {
    pipes: drawing.pipes.map((pipe, i) => ({
      ...pipe,
      x: startOf(i) - left,
      y: middle(i),
      next: next[i],
      cylinder: cylinders.get(i) ?? null,
    })),
    width: -left,
    height: depth,
  };
}

// Paths by collector, and within it by the position round the collector.
function rowsInOrder(drawing) {
  const place = new Map();
  drawing.groups.forEach((group, g) => {
    group.cylinders.forEach((cylinder, i) => place.set(cylinder, 100 * g + (group.position[i] ?? i)));
  });
  return [...drawing.paths].sort(
    (a, b) =>
      (place.get(a.cylinder) ?? 0) - (place.get(b.cylinder) ?? 0) ||
      a.pipes[a.pipes.length - 1] - b.pipes[b.pipes.length - 1]
  );
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
