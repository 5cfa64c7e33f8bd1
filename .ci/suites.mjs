// The suites of `make test`, in order. `count` names how the output is counted (see tally.mjs):
// "check" is one thing that passes or fails as a whole.

const staticcheck = 'honnef.co/go/tools/cmd/staticcheck@v0.8.2';

// Package comments are held to their own form by a Go test; the rest of staticcheck's checks are all on.
const checks = 'all,-ST1000';

// Rooms whose tests simulate whole units, which take five times as long under the race detector. What runs at once there is
// under it all the same: comparisons are asked in the tests of annotate and server.
const simulated = '/timeline/(cohort|outcome)$';

export const suites = [
  { name: 'gofmt', count: 'check', silent: true, command: ['gofmt', '-l', '-s', 'annotate', 'cmd', 'frontend/embed.go', 'migrations', 'server', 'timeline'] },
  { name: 'go vet', count: 'check', command: ['go', 'vet', './...'] },
  { name: 'staticcheck', count: 'check', command: ['go', 'run', staticcheck, '-checks', checks, './...'] },
  { name: 'modules', count: 'check', command: ['go', 'mod', 'verify'] },
  { name: 'tally', count: 'tap', command: ['node', '--test', '--test-reporter=tap', '.ci/tally.test.mjs'] },
  { name: 'biome', count: 'check', cwd: 'frontend', command: ['npm', 'run', '--silent', 'lint'] },
  { name: 'svelte-check', count: 'check', cwd: 'frontend', command: ['npm', 'run', '--silent', 'check'] },
  { name: 'page units', count: 'vitest', cwd: 'frontend', command: ['npx', 'vitest', 'run', '--reporter=json', '--outputFile={report}'] },
  { name: 'page build', count: 'check', cwd: 'frontend', command: ['npm', 'run', '--silent', 'build'] },
  { name: 'go test', count: 'go', command: ['sh', '-c', `go test -race -json -timeout 20m $(go list ./... | grep -Ev '${simulated}')`] },
  { name: 'simulated units', count: 'go', command: ['sh', '-c', `go test -json -timeout 20m $(go list ./... | grep -E '${simulated}')`] },
  // Without -trimpath, unlike `make build`: then nearly all of it was compiled already for go vet.
  { name: 'program build', count: 'check', command: ['go', 'build', '-o', '.cache/bin/zonule', './cmd/zonule'] },
  {
    name: 'browser', count: 'playwright', cwd: 'frontend', demo: true,
    command: ['npx', 'playwright', 'test', '--reporter=json'],
    env: { PLAYWRIGHT_JSON_OUTPUT_NAME: '{report}' },
  },
];
