package stat

import (
	"encoding/binary"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// processorTime is what this process has used so far, in seconds: on a busy machine it tells more than the clock does.
func processorTime(t testing.TB) float64 {
	var used syscall.Rusage
	require.NoError(t, syscall.Getrusage(syscall.RUSAGE_SELF, &used))
	return float64(used.Utime.Nano()+used.Stime.Nano()) / 1e9
}

const besideR = `
n <- 100000; p <- 12
con <- file(commandArgs(TRUE)[1], "rb"); v <- readBin(con, "double", n * (p + 2)); close(con)
x <- matrix(v[1:(n * p)], n, p); y <- v[(n * p + 1):(n * (p + 1))]; e <- v[(n * (p + 1) + 1):(n * (p + 2))]
spent <- function(f) { t <- system.time(f()); t[["user.self"]] + t[["sys.self"]] }
line <- NULL; odds <- NULL
a <- spent(function() line <<- summary(lm(y ~ x))); b <- spent(function() odds <<- glm(e ~ x, family = binomial))
cat(a, b, sprintf("%.12g", coef(line)[13, 1]), sprintf("%.12g", coef(odds)[13]), "\n")
`

// BenchmarkBesideR fits 100,000 cases with 12 terms here and with R's lm and glm in the same run, in processor time. Ours
// adds HC3 to the line, and the penalty and one profile interval to the odds. The line must agree with R's.
func BenchmarkBesideR(b *testing.B) {
	script, err := exec.LookPath("Rscript")
	if err != nil {
		b.Skip("R is not installed")
	}
	d, y, events := syntheticRegression(100_000)
	path := filepath.Join(b.TempDir(), "data")
	file, err := os.Create(path)
	require.NoError(b, err)
	for _, values := range append(append([][]float64{}, d.columns[1:]...), y, events) {
		require.NoError(b, binary.Write(file, binary.LittleEndian, values))
	}
	require.NoError(b, file.Close())
	answer, err := exec.Command(script, "-e", besideR, path).Output()
	require.NoError(b, err)
	var r [4]float64
	for i, field := range strings.Fields(string(answer)) {
		r[i], err = strconv.ParseFloat(field, 64)
		require.NoError(b, err)
	}
	var line, odds float64
	runs := 0
	for b.Loop() {
		runs++
		start := processorTime(b)
		m, err := LeastSquares(d, y, nil, 0.95)
		require.NoError(b, err)
		middle := processorTime(b)
		l, err := Logistic(d, events, LogisticOptions{Level: 0.95, Penalised: true, Profiled: []int{12}})
		require.NoError(b, err)
		line, odds = line+middle-start, odds+processorTime(b)-middle
		require.InEpsilon(b, r[2], m.Coefficients[12].Estimate, 1e-9)
		require.InEpsilon(b, r[3], l.Coefficients[12].Estimate, 1e-3) // R's has no penalty
	}
	b.ReportMetric(1000*line/float64(runs), "line-ms")
	b.ReportMetric(1000*r[0], "line-R-ms")
	b.ReportMetric(1000*odds/float64(runs), "odds-ms")
	b.ReportMetric(1000*r[1], "odds-R-ms")
}
