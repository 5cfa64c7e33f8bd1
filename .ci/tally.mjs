// Counts what a suite reported. Each counter takes the text of a report and gives
// { passed, failed, skipped: [names], failures: [names] }. A report that cannot be read, or counts nothing, is a
// failure of the suite: silence must never look like success.

const nothing = () => ({ passed: 0, failed: 0, skipped: [], failures: [] });

// go counts the lines of `go test -json`: a test without subtests is one, a package that fails without a failed
// test (it did not build, or panicked) is one failure, and so is a package in which no test ran to its end.
export function go(text) {
  const tally = nothing();
  const ended = new Map();
  const parents = new Set();
  const failedPackages = new Set();
  for (const line of text.split('\n')) {
    if (!line.startsWith('{')) continue;
    const event = JSON.parse(line);
    if (event.Test && event.Test.includes('/')) {
      parents.add(`${event.Package} ${event.Test.slice(0, event.Test.lastIndexOf('/'))}`);
    }
    if (!['pass', 'fail', 'skip'].includes(event.Action)) continue;
    if (event.Test) ended.set(`${event.Package} ${event.Test}`, event.Action);
    else if (event.Action === 'fail') failedPackages.add(event.Package);
  }
  for (const [name, action] of ended) {
    const own = !parents.has(name);
    if (action === 'skip') tally.skipped.push(name);
    if (action === 'pass' && own) tally.passed += 1;
    if (action === 'fail' && (own || !hasFailedChild(ended, name))) addFailure(tally, name);
  }
  for (const name of failedPackages) {
    if (!tally.failures.some((failure) => failure.startsWith(`${name} `))) addFailure(tally, `${name} (did not build or did not end)`);
  }
  return tally;
}

function hasFailedChild(ended, name) {
  for (const [other, action] of ended) {
    if (action === 'fail' && other.startsWith(`${name}/`)) return true;
  }
  return false;
}

function addFailure(tally, name) {
  tally.failed += 1;
  tally.failures.push(name);
}

// vitest counts the report of vitest's json reporter.
export function vitest(text) {
  const tally = nothing();
  for (const file of JSON.parse(text).testResults) {
    for (const test of file.assertionResults) {
      if (test.status === 'passed') tally.passed += 1;
      else if (test.status === 'failed') addFailure(tally, `${file.name} ${test.fullName}`);
      else tally.skipped.push(`${file.name} ${test.fullName}`);
    }
    if (file.status === 'failed' && !file.assertionResults.some((test) => test.status === 'failed')) {
      addFailure(tally, `${file.name} (could not be read)`);
    }
  }
  return tally;
}

// playwright counts the report of playwright's json reporter.
export function playwright(text) {
  const tally = nothing();
  const report = JSON.parse(text);
  const walk = (suite, path) => {
    for (const spec of suite.specs ?? []) {
      for (const test of spec.tests) {
        const name = [...path, spec.title].join(' > ');
        if (test.status === 'skipped') tally.skipped.push(name);
        else if (test.status === 'expected') tally.passed += 1;
        else addFailure(tally, name);
      }
    }
    for (const inner of suite.suites ?? []) walk(inner, [...path, inner.title]);
  };
  for (const suite of report.suites ?? []) walk(suite, [suite.title]);
  for (const error of report.errors ?? []) addFailure(tally, error.message.split('\n')[0]);
  return tally;
}

// tap counts the outermost lines of the Test Anything Protocol, as `node --test` prints it.
export function tap(text) {
  const tally = nothing();
  for (const line of text.split('\n')) {
    const match = /^(not ok|ok) \d+ - (.*)$/.exec(line);
    if (!match) continue;
    if (/# SKIP/i.test(match[2])) tally.skipped.push(match[2]);
    else if (match[1] === 'ok') tally.passed += 1;
    else addFailure(tally, match[2]);
  }
  return tally;
}

// judge joins the count with how the suite's process ended.
export function judge(count, text, exitCode) {
  let tally;
  try {
    tally = count(text);
  } catch (error) {
    tally = nothing();
    addFailure(tally, `no readable report (${error.message.split('\n')[0]})`);
  }
  if (exitCode !== 0 && tally.failed === 0) addFailure(tally, `ended with code ${exitCode}`);
  if (tally.passed + tally.failed === 0) addFailure(tally, 'counted no test');
  return tally;
}
