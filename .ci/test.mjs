// Runs every suite, whatever the ones before did, and ends with `N passed, N failed`.
// usage: node .ci/test.mjs [words of suite names]; a name narrows the run, which then says so.

import { spawn } from 'node:child_process';
import { createWriteStream, existsSync, mkdirSync, readFileSync, rmSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { startDemo } from './demo.mjs';
import { suites } from './suites.mjs';
import * as counters from './tally.mjs';

const root = resolve(dirname(fileURLToPath(import.meta.url)), '..');
const output = join(root, '.cache', 'test');
const ci = Boolean(process.env.CI) && process.env.CI !== 'false';
const wanted = process.argv.slice(2);

// In CI a test that has lost its tools fails by itself; ZONULE_TEST_STRICT tells the Go tests the same.
const baseEnv = { ...process.env, GOFLAGS: process.env.GOFLAGS ?? '-buildvcs=false', ...(ci ? { ZONULE_TEST_STRICT: '1' } : {}) };

function run(suite, file, env) {
  const fill = (text) => text.replaceAll('{report}', file.report);
  const extra = Object.fromEntries(Object.entries({ ...suite.env, ...env }).map(([name, value]) => [name, fill(value)]));
  return new Promise((done) => {
    const log = createWriteStream(file.log);
    const child = spawn(suite.command[0], suite.command.slice(1).map(fill), {
      cwd: join(root, suite.cwd ?? '.'),
      env: { ...baseEnv, ...extra },
      stdio: ['ignore', 'pipe', 'pipe'],
    });
    child.stdout.pipe(log, { end: false });
    child.stderr.pipe(log, { end: false });
    child.on('error', (error) => {
      log.end(`${error.message}\n`, () => done(127));
    });
    child.on('close', (code, signal) => {
      log.end(() => done(code ?? `signal ${signal}`));
    });
  });
}

// check counts a suite that passes or fails as a whole; a silent one fails when it prints anything.
function check(suite, log, code) {
  const failed = code !== 0 || (suite.silent && log.trim() !== '');
  return { passed: failed ? 0 : 1, failed: failed ? 1 : 0, skipped: [], failures: failed ? [suite.name] : [] };
}

async function runSuite(suite, number) {
  const stem = join(output, `${String(number).padStart(2, '0')}-${suite.name.replaceAll(' ', '-')}`);
  const file = { log: `${stem}.log`, report: `${stem}.json` };
  let demo;
  let code;
  try {
    demo = suite.demo ? await startDemo(root, output, baseEnv) : undefined;
    code = await run(suite, file, demo ? { ZONULE_E2E_URL: demo.address } : {});
  } catch (error) {
    return { file, tally: { passed: 0, failed: 1, skipped: [], failures: [error.message] } };
  } finally {
    await demo?.stop();
  }
  const log = readFileSync(file.log, 'utf8');
  if (suite.count === 'check') return { file, tally: check(suite, log, code) };
  const report = existsSync(file.report) ? readFileSync(file.report, 'utf8') : log;
  return { file, tally: counters.judge(counters[suite.count], report, code) };
}

// told is the part of a log that a person needs: for Go, what the failed tests printed.
function told(suite, path) {
  const lines = readFileSync(path, 'utf8').split('\n');
  if (suite.count !== 'go') return lines.slice(-80).join('\n');
  const events = lines.filter((line) => line.startsWith('{')).map((line) => JSON.parse(line));
  const failed = new Set(events.filter((event) => event.Action === 'fail').map((event) => `${event.Package} ${event.Test ?? ''}`));
  const printed = events.filter((event) => event.Action === 'output' && failed.has(`${event.Package} ${event.Test ?? ''}`));
  const built = events.filter((event) => event.Action === 'build-output');
  const loose = lines.filter((line) => line !== '' && !line.startsWith('{'));
  return [...loose, ...[...built, ...printed].map((event) => event.Output.trimEnd())].slice(-200).join('\n');
}

rmSync(output, { recursive: true, force: true });
mkdirSync(output, { recursive: true });
const chosen = suites.filter((suite) => wanted.length === 0 || wanted.some((word) => suite.name.includes(word)));
const total = { passed: 0, failed: 0 };
const skipped = [];
for (const [index, suite] of chosen.entries()) {
  const began = Date.now();
  process.stdout.write(`${suite.name} ... `);
  const { file, tally } = await runSuite(suite, index + 1);
  const seconds = ((Date.now() - began) / 1000).toFixed(1);
  process.stdout.write(`${tally.passed} passed, ${tally.failed} failed, ${tally.skipped.length} skipped (${seconds} s)\n`);
  total.passed += tally.passed;
  total.failed += tally.failed;
  skipped.push(...tally.skipped.map((name) => `${suite.name}: ${name}`));
  if (tally.failed > 0) {
    for (const name of tally.failures) process.stdout.write(`  FAILED ${name}\n`);
    if (existsSync(file.log)) process.stdout.write(`${told(suite, file.log).replace(/^/gm, '    ')}\n`);
  }
}
for (const name of skipped) process.stdout.write(`${ci ? 'FAILED (skipped)' : 'skipped'} ${name}\n`);
if (ci) total.failed += skipped.length;
if (chosen.length < suites.length) process.stdout.write(`only ${chosen.length} of ${suites.length} suites were run\n`);
process.stdout.write(`${total.passed} passed, ${total.failed} failed\n`);
process.exitCode = total.failed > 0 || total.passed === 0 ? 1 : 0;
