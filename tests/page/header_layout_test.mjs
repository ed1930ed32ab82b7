// Positions of the pipes in a drawing: to scale, paths end together, nothing overlaps.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { diameterAt, layOut, outline, piecesOf } from '../../tools/report/page/src/header_layout.js';

const straight = (name, length, diameter, from, to) => ({ name, length, profile: [[0, diameter]], from, to });
const cylinder = (number) => ({ kind: 'cylinder', cylinder: number });
const junction = (name) => ({ kind: 'junction', name });
const open = { kind: 'open' };

// Two collectors; the second one is fed by a pair and a single tube.
const drawing = {
  nodes: [1, 2, 3, 4, 5].map(cylinder).concat([junction('A'), junction('pair'), junction('B'), open, open]),
  pipes: [
    straight('primary 1', 0.7, 0.045, 0, 5),
    straight('primary 2', 0.8, 0.045, 1, 5),
    straight('collector A', 0.9, 0.09, 5, 8),
    straight('primary 3', 0.4, 0.045, 2, 6),
    straight('primary 4', 0.45, 0.045, 3, 6),
    straight('secondary', 0.3, 0.055, 6, 7),
    straight('primary 5', 0.75, 0.045, 4, 7),
    straight('collector B', 0.9, 0.09, 7, 9),
  ],
  paths: [
    { cylinder: 1, pipes: [0, 2] },
    { cylinder: 3, pipes: [3, 5, 7] },
    { cylinder: 2, pipes: [1, 2] },
    { cylinder: 4, pipes: [4, 5, 7] },
    { cylinder: 5, pipes: [6, 7] },
  ],
  groups: [
    { name: 'A', cylinders: [1, 2], position: [2, 1] },
    { name: 'B', cylinders: [3, 4, 5], position: [1, 2, 3] },
  ],
};

// Two banks of two, joined by a bar; the tails are unequal.
const banks = {
  nodes: [1, 4, 2, 3].map(cylinder).concat([junction('left'), junction('right'), junction('bar left'), junction('bar right'), open, open]),
  pipes: [
    straight('primary 1', 0.7, 0.045, 0, 4),
    straight('primary 2', 0.7, 0.045, 2, 5),
    straight('primary 3', 0.75, 0.045, 3, 5),
    straight('primary 4', 0.8, 0.045, 1, 4),
    straight('collector left', 0.3, 0.06, 4, 6),
    straight('collector right', 0.3, 0.06, 5, 7),
    straight('bar', 0.25, 0.04, 6, 7),
    straight('tail left', 0.9, 0.06, 6, 8),
    straight('tail right', 1.0, 0.06, 7, 9),
  ],
  paths: [],
  groups: [],
};

// Two collectors into an X with three ways out, the last one closed; and a pipe that leads back.
const cross = {
  nodes: [cylinder(1), cylinder(2), junction('X'), open, open, { kind: 'closed' }],
  pipes: [
    straight('collector 1', 0.7, 0.05, 0, 2),
    straight('collector 2', 0.7, 0.05, 1, 2),
    straight('tail A', 0.9, 0.05, 2, 3),
    straight('tail B', 0.6, 0.05, 2, 4),
    straight('side branch', 0.2, 0.05, 2, 5),
  ],
  paths: [],
  groups: [],
};

const near = (a, b) => assert.ok(Math.abs(a - b) < 1e-12, `${a} is not ${b}`);
const end = (pipe) => pipe.x + pipe.length;

test('all paths end together, and each pipe before the next one', () => {
  const plan = layOut(drawing);
  for (const { pipes } of drawing.paths) {
    near(end(plan.pipes[pipes[pipes.length - 1]]), plan.width);
    for (let k = 0; k + 1 < pipes.length; k += 1) {
      assert.equal(plan.pipes[pipes[k]].to, plan.pipes[pipes[k + 1]].from);
      assert.ok(end(plan.pipes[pipes[k]]) < plan.pipes[pipes[k + 1]].x);
    }
  }
  assert.equal(Math.min(...plan.pipes.map((pipe) => pipe.x)), 0);
});

test('tubes of one merge end at the same place, so that a longer one starts further out', () => {
  const { pipes } = layOut(drawing);
  near(end(pipes[0]), end(pipes[1]));
  near(pipes[0].x - pipes[1].x, 0.1);
  near(pipes[3].x - pipes[4].x, 0.05);
  near(end(pipes[5]), end(pipes[6]));
});

for (const [name, one] of Object.entries({ drawing, banks, cross })) {
  test(`no two pipes overlap: ${name}`, () => {
    const { pipes, height, width } = layOut(one);
    assert.equal(pipes.length, one.pipes.length);
    pipes.forEach((a, i) => {
      assert.ok(a.y > 0 && a.y < height && a.x >= 0 && end(a) <= width + 1e-12, a.name);
      pipes.slice(i + 1).forEach((b) => {
        const apart = Math.abs(a.y - b.y) - 0.5 * (diameterAt(a, 0) + diameterAt(b, 0));
        assert.ok(apart > 0 || end(a) <= b.x || end(b) <= a.x, `${a.name} and ${b.name}`);
      });
    });
  });

  test(`every junction lies behind the pipes that enter it and before those that leave: ${name}`, () => {
    const { pipes, nodes } = layOut(one);
    for (const pipe of pipes.filter(({ crossover }) => !crossover)) {
      const [before, behind] = [nodes[pipe.from], nodes[pipe.to]];
      if (before) assert.ok(before.x < pipe.x, `${pipe.name} and ${before.name}`);
      if (behind) assert.ok(end(pipe) < behind.x, `${pipe.name} and ${behind.name}`);
    }
  });
}

test('the bar of an H has a row of its own between the banks it connects', () => {
  const { pipes, nodes } = layOut(banks);
  const bar = pipes.find(({ name }) => name === 'bar');
  assert.deepEqual(pipes.filter(({ crossover }) => crossover).map(({ name }) => name), ['bar']);
  const [left, right] = [nodes[bar.from], nodes[bar.to]];
  assert.ok(left.y < bar.y && bar.y < right.y);
  assert.ok(bar.x < Math.max(left.x, right.x) && end(bar) > Math.min(left.x, right.x), 'it lies where the junctions are');
  const rows = (names) => pipes.filter(({ name }) => names.includes(name)).map(({ y }) => y);
  assert.ok(Math.max(...rows(['primary 1', 'primary 4', 'tail left'])) < bar.y);
  assert.ok(Math.min(...rows(['primary 2', 'primary 3', 'tail right'])) > bar.y);
});

test('the ways out of one junction begin together', () => {
  const { pipes } = layOut(cross);
  for (const pipe of pipes.slice(3)) near(pipe.x, pipes[2].x);
  near(pipes[2].y - pipes[3].y, pipes[3].y - pipes[4].y);
  assert.ok(pipes.every(({ crossover }) => !crossover));
});

test('a loop of pipes and an empty list of groups are drawn all the same', () => {
  const loop = {
    nodes: [cylinder(1), junction('A'), junction('B'), open],
    pipes: [straight('in', 0.5, 0.04, 0, 1), straight('there', 0.5, 0.04, 1, 2), straight('back', 0.5, 0.04, 2, 1), straight('out', 0.5, 0.04, 2, 3)],
    paths: [],
    groups: [],
  };
  const { pipes } = layOut(loop);
  for (const { name, x, y } of pipes) assert.ok(Number.isFinite(x) && Number.isFinite(y), name);
});

test('a part is cut into straight pieces, cones and steps', () => {
  const pipe = { length: 0.9, profile: [[0, 0.04], [0.1, 0.04], [0.25, 0.06], [0.5, 0.06], [0.501, 0.07], [0.9, 0.07]] };
  const pieces = piecesOf(pipe, { from: 0.05, to: 0.9 });
  const lengths = [0.05, 0.15, 0.25, 0.399];
  assert.equal(pieces.length, lengths.length);
  pieces.forEach(({ length }, i) => near(length, lengths[i]));
  near(pieces[1].diameters[1], 0.06);
  near(pieces[3].diameters[0], 0.07);
});

test('rows follow the positions round the collector', () => {
  const { pipes } = layOut(drawing);
  assert.ok(pipes[1].y < pipes[0].y, 'cylinder 2 has position 1');
  assert.deepEqual(pipes.map((pipe) => pipe.cylinder), [1, 2, null, 3, 4, null, 5, null]);
  near(pipes[2].y, (pipes[0].y + pipes[1].y) / 2);
});

test('outline and diameter follow the profile', () => {
  const cone = { x: 1, y: 2, length: 0.4, profile: [[0.1, 0.04], [0.3, 0.08]] };
  near(diameterAt(cone, 0), 0.04);
  near(diameterAt(cone, 0.2), 0.06);
  near(diameterAt(cone, 0.4), 0.08);
  const corners = outline(cone);
  assert.equal(corners.length, 8);
  assert.deepEqual(corners[0], [1, 2 - 0.02]);
  near(corners[3][0], 1.4);
  near(corners[4][1], 2 + 0.04);
});
