package stat

import (
	"encoding/binary"
	"math"
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
line <- NULL; odds <- NULL; firth <- NULL; c <- NA
a <- spent(function() line <<- summary(lm(y ~ x))); b <- spent(function() odds <<- glm(e ~ x, family = binomial))
if (requireNamespace("brglm2", quietly = TRUE))
  c <- spent(function() firth <<- glm(e ~ x, family = binomial, method = brglm2::brglmFit, type = "AS_mean", epsilon = 1e-10))
last <- function(m) if (is.null(m)) NA else coef(m)[13]
cat(a, b, c, sprintf("%.12g", c(coef(line)[13, 1], last(odds), last(firth))), "\n")
`

// BenchmarkBesideR fits 100,000 cases with 12 terms here and with R in the same run, in processor time: lm, glm and, where it
// is installed, brglm2's penalised fit. Ours adds HC3 to the line. The penalised fit is timed without profile intervals, which
// brglm2 does not give either, and with all 13. Line and penalised fit must agree with R's.
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
	var r [6]float64
	for i, field := range strings.Fields(strings.ReplaceAll(string(answer), "NA", "NaN")) {
		r[i], err = strconv.ParseFloat(field, 64)
		require.NoError(b, err)
	}
	var spent [4]float64
	runs := 0
	timed := func(at int, fit func()) {
		start := processorTime(b)
		fit()
		spent[at] += processorTime(b) - start
	}
	odds := func(options LogisticOptions) func() {
		return func() {
			l, err := Logistic(d, events, options)
			require.NoError(b, err)
			switch want := r[4]; {
			case options.Penalised && !math.IsNaN(r[5]):
				require.InEpsilon(b, r[5], l.Coefficients[12].Estimate, 1e-7)
			default:
				require.InEpsilon(b, want, l.Coefficients[12].Estimate, 1e-3) // glm's has no penalty
			}
		}
	}
	for b.Loop() {
		runs++
		timed(0, func() {
			m, err := LeastSquares(d, y, nil, 0.95)
			require.NoError(b, err)
			require.InEpsilon(b, r[3], m.Coefficients[12].Estimate, 1e-9)
		})
		timed(1, odds(LogisticOptions{Level: 0.95, Profiled: []int{}}))
		timed(2, odds(LogisticOptions{Level: 0.95, Penalised: true, Profiled: []int{}}))
		timed(3, odds(LogisticOptions{Level: 0.95, Penalised: true}))
	}
	for at, name := range []string{"line", "odds", "firth", "firth-profiles"} {
		b.ReportMetric(1000*spent[at]/float64(runs), name+"-ms")
	}
	for at, name := range []string{"line-R", "odds-R", "firth-R"} {
		if !math.IsNaN(r[at]) {
			b.ReportMetric(1000*r[at], name+"-ms")
		}
	}
}
