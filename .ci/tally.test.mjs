import assert from 'node:assert/strict';
import { test } from 'node:test';
import { go, judge, playwright, tap, vitest } from './tally.mjs';

const lines = (...events) => events.map((event) => JSON.stringify(event)).join('\n');

test('a Go test with subtests counts by its subtests', () => {
  const tally = go(
    lines(
      { Action: 'pass', Package: 'p', Test: 'TestA/one' },
      { Action: 'fail', Package: 'p', Test: 'TestA/two' },
      { Action: 'fail', Package: 'p', Test: 'TestA' },
      { Action: 'pass', Package: 'p', Test: 'TestB' },
      { Action: 'fail', Package: 'p' },
    ),
  );
  assert.deepEqual([tally.passed, tally.failed], [2, 1]);
  assert.deepEqual(tally.failures, ['p TestA/two']);
});

test('a parent that fails by itself is a failure', () => {
  const tally = go(lines({ Action: 'pass', Package: 'p', Test: 'TestA/one' }, { Action: 'fail', Package: 'p', Test: 'TestA' }));
  assert.deepEqual([tally.passed, tally.failed], [1, 1]);
});

test('a Go package that does not build is a failure', () => {
  const tally = go(`# p\np.go:1: wrong\n${lines({ Action: 'fail', Package: 'p' })}`);
  assert.deepEqual([tally.passed, tally.failed], [0, 1]);
});

test('a skipped Go test is named', () => {
  assert.deepEqual(go(lines({ Action: 'skip', Package: 'p', Test: 'TestC' })).skipped, ['p TestC']);
});

test('a vitest file that cannot be read is a failure', () => {
  const report = { testResults: [{ name: 'a', status: 'failed', assertionResults: [] }, { name: 'b', status: 'passed', assertionResults: [{ status: 'passed', fullName: 'x' }] }] };
  const tally = vitest(JSON.stringify(report));
  assert.deepEqual([tally.passed, tally.failed], [1, 1]);
});

test('playwright tests count in nested suites', () => {
  const spec = (title, status) => ({ title, tests: [{ status }] });
  const report = { suites: [{ title: 'f', specs: [spec('a', 'expected')], suites: [{ title: 'g', specs: [spec('b', 'unexpected'), spec('c', 'skipped'), spec('d', 'flaky')] }] }] };
  const tally = playwright(JSON.stringify(report));
  assert.deepEqual([tally.passed, tally.failed, tally.skipped.length], [1, 2, 1]);
});

test('TAP counts outermost lines only', () => {
  const tally = tap('TAP version 13\n    ok 1 - inner\nok 1 - a\nnot ok 2 - b\nok 3 - c # SKIP\n');
  assert.deepEqual([tally.passed, tally.failed, tally.skipped.length], [1, 1, 1]);
});

test('silence is a failure', () => {
  assert.equal(judge(go, '', 0).failed, 1);
  assert.equal(judge(vitest, 'no json', 0).failed, 1);
  assert.equal(judge(go, lines({ Action: 'pass', Package: 'p', Test: 'TestA' }), 1).failed, 1);
  assert.equal(judge(go, lines({ Action: 'pass', Package: 'p', Test: 'TestA' }), 0).failed, 0);
});
