package main

import (
	"bufio"
	"context"
	"io"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// beProgram in the environment makes the test binary behave as the program, so that a test can start it as a
// process of its own, and kill it.
const beProgram = "ZONULE_TEST_BE_PROGRAM"

func TestMain(m *testing.M) {
	if os.Getenv(beProgram) != "" {
		main()
		return
	}
	code := m.Run()
	if demoFolder != "" {
		_ = os.RemoveAll(demoFolder) // temporary
	}
	os.Exit(code)
}

// process is the program running on its own.
type process struct {
	command *exec.Cmd
	address string
	// login and password of the administrator, when this start made one.
	login, password string
	log             *lines
}

var (
	addressLine  = regexp.MustCompile(`(http://[\d.]+:\d+)`)
	passwordLine = regexp.MustCompile(`signs in as "(.+)" with the one-time password (\S+)`)
)

// programProcess prepares the program as a process; what it logs ends up in the test's log when the test fails.
func programProcess(t *testing.T, args ...string) (*exec.Cmd, *lines) {
	t.Helper()
	self, err := os.Executable()
	require.NoError(t, err)
	log := &lines{}
	command := exec.CommandContext(t.Context(), self, args...)
	command.Env = append(withoutSettings(os.Environ()), beProgram+"=1")
	command.Stderr = log
	t.Cleanup(func() {
		if t.Failed() {
			t.Logf("the program %v said:\n%s", args, log)
		}
	})
	return command, log
}

// start runs "serve" and waits until it listens.
func start(t *testing.T, args ...string) *process {
	t.Helper()
	command, log := programProcess(t, append([]string{"serve", "--listen", "127.0.0.1:0"}, args...)...)
	stdout, err := command.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, command.Start())
	p := &process{command: command, log: log}
	t.Cleanup(func() { _ = command.Process.Kill() })
	found := make(chan struct{})
	go func() {
		defer close(found)
		scanner := bufio.NewScanner(stdout)
		for scanner.Scan() {
			if match := passwordLine.FindStringSubmatch(scanner.Text()); match != nil {
				p.login, p.password = match[1], match[2]
			}
			if match := addressLine.FindString(scanner.Text()); match != "" {
				p.address = match
				return
			}
		}
	}()
	select {
	case <-found:
	case <-time.After(60 * time.Second):
	}
	require.NotEmpty(t, p.address, "the program did not listen: %s", log)
	return p
}

// kill ends the process at once, as a power cut would for the process itself.
func (p *process) kill(t *testing.T) {
	t.Helper()
	require.NoError(t, p.command.Process.Signal(syscall.SIGKILL))
	_ = p.command.Wait() // always an error: the process was killed
}

// stop asks the process to end, and gives its exit code.
func (p *process) stop(t *testing.T) int {
	t.Helper()
	require.NoError(t, p.command.Process.Signal(syscall.SIGTERM))
	_ = p.command.Wait() // the exit code says it
	return p.command.ProcessState.ExitCode()
}

// background is Run in this process, so that the race detector sees it.
type background struct {
	stdout, stderr *lines
	cancel         context.CancelFunc
	code           chan int
}

func runInBackground(t *testing.T, args ...string) *background {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	b := &background{stdout: &lines{}, stderr: &lines{}, cancel: cancel, code: make(chan int, 1)}
	go func() { b.code <- Run(ctx, args, strings.NewReader(""), b.stdout, b.stderr, nil) }()
	t.Cleanup(cancel)
	return b
}

// waitFor gives what the pattern finds in the output, once it is there.
func (b *background) waitFor(t *testing.T, pattern *regexp.Regexp) []string {
	t.Helper()
	var match []string
	require.Eventually(t, func() bool {
		match = pattern.FindStringSubmatch(b.stdout.String())
		return match != nil
	}, 2*time.Minute, 20*time.Millisecond, "%s %s", b.stdout, b.stderr)
	return match
}

// run is a command that ends by itself.
func run(t *testing.T, stdin io.Reader, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	var out, log lines
	code = Run(t.Context(), args, stdin, &out, &log, nil)
	return code, out.String(), log.String()
}

func withoutSettings(env []string) []string {
	var kept []string
	for _, line := range env {
		if !strings.HasPrefix(line, "ZONULE_") {
			kept = append(kept, line)
		}
	}
	return kept
}

// lines collects output that several goroutines write and read.
type lines struct {
	mutex sync.Mutex
	text  strings.Builder
}

func (l *lines) Write(p []byte) (int, error) {
	l.mutex.Lock()
	defer l.mutex.Unlock()
	return l.text.Write(p)
}

func (l *lines) String() string {
	l.mutex.Lock()
	defer l.mutex.Unlock()
	return l.text.String()
}
