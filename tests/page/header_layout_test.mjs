// Positions of the pipes in a drawing: to scale, paths end together, nothing overlaps.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { diameterAt, layOut, outline } from '../../tools/report/page/src/header_layout.js';

const straight = (name, length, diameter) => ({ name, length, profile: [[0, diameter]] });

// Two collectors; the second one is fed by a pair and a single tube.
const drawing = {
  pipes: [
    straight('primary 1', 0.7, 0.045),
    straight('primary 2', 0.8, 0.045),
    straight('collector A', 0.9, 0.09),
    straight('primary 3', 0.4, 0.045),
    straight('primary 4', 0.45, 0.045),
    straight('secondary', 0.3, 0.055),
    straight('primary 5', 0.75, 0.045),
    straight('collector B', 0.9, 0.09),
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

const near = (a, b) => assert.ok(Math.abs(a - b) < 1e-12, `${a} is not ${b}`);
const end = (pipe) => pipe.x + pipe.length;

test('all paths end together, and each pipe before the next one', () => {
  const plan = layOut(drawing);
  for (const { pipes } of drawing.paths) {
    near(end(plan.pipes[pipes[pipes.length - 1]]), plan.width);
    for (let k = 0; k + 1 < pipes.length; k += 1) {
      assert.equal(plan.pipes[pipes[k]].next, pipes[k + 1]);
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

test('no two pipes overlap', () => {
  const { pipes, height } = layOut(drawing);
  pipes.forEach((a, i) => {
    assert.ok(a.y > 0 && a.y < height);
    pipes.slice(i + 1).forEach((b) => {
      const apart = Math.abs(a.y - b.y) - 0.5 * (diameterAt(a, 0) + diameterAt(b, 0));
      assert.ok(apart > 0 || end(a) <= b.x || end(b) <= a.x, `${a.name} and ${b.name}`);
    });
  });
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
