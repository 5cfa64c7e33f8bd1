// The suites of `make test`, in order. `count` names how the output is counted (see tally.mjs):
// "check" is one thing that passes or fails as a whole.

const staticcheck = 'honnef.co/go/tools/cmd/staticcheck@v0.8.2';

// Package comments are held to their own form by a Go test; the rest of staticcheck's checks are all on.
const checks = 'all,-ST1000';

// The race detector makes SQLite, which is Go here, five times as slow. It watches the rooms where something runs at once: wholly
// where they are quick, else the tests whose names say that several work together.
const watched = '/server/(auth|live|media)$';
const together = 'AtOnce|WhileIt|NoAcknowledgedEdit|WaitTheirTurn|MissesNoRow|RiseInTheOrder|UsedByMany|AcrossServers|SeveralServers|AStreamEnds|LeavingEnds|Cores';

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
  { name: 'go test', count: 'go', command: ['go', 'test', '-json', '-timeout', '20m', './...'] },
  {
    name: 'races', count: 'go',
    command: ['sh', '-c', `go test -race -json $(go list ./server/... | grep -E '${watched}') && go test -race -json -timeout 20m -run '${together}' ./annotate ./annotate/store ./server ./server/report ./timeline/...`],
  },
  // Without -trimpath, unlike `make build`: then nearly all of it was compiled already for go vet.
  { name: 'program build', count: 'check', command: ['go', 'build', '-o', '.cache/bin/zonule', './cmd/zonule'] },
  {
    name: 'browser', count: 'playwright', cwd: 'frontend', demo: true,
    command: ['npx', 'playwright', 'test', '--reporter=json'],
    env: { PLAYWRIGHT_JSON_OUTPUT_NAME: '{report}' },
  },
];
