package cohort

import (
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"syscall"
	"testing"
	"time"

	"zonule/timeline"
)

// benchSteps, benchStages and benchOperators are the size of a list and of a group of departments.
const benchSteps, benchStages, benchOperators = 16, 4, 80

// inventMany makes rows of many steps and stages; one case in six is a part-case, one eye in twenty lacks its grade.
func inventMany(cases int) ([]Row, []Item) {
	random := rand.New(rand.NewPCG(1, 2))
	rows := plan{cases: cases, effects: make([]float64, benchOperators), steepness: 1.5, missing: 0.05}.invent(1)
	items := []Item{{OfOperation, "", "Operation time"}}
	for s := range benchSteps {
		items = append(items, Item{OfStep, fmt.Sprintf("step%02d", s), fmt.Sprintf("Step %d", s)})
	}
	for s := range benchStages {
		items = append(items, Item{OfStage, fmt.Sprintf("stage%d", s), fmt.Sprintf("Stage %d", s)})
	}
	for i := range rows {
		row := &rows[i]
		supervisor := fmt.Sprintf("op%03d", random.IntN(benchOperators))
		part := random.IntN(6) == 0
		hard := math.Log(float64(*row.Time) / 90_000)
		row.Steps = make([]Part, 0, benchSteps)
		for s := range benchSteps {
			total := int64(20_000 * math.Exp(0.5*hard+0.3*random.NormFloat64()))
			operator := row.Operator
			if part && s > benchSteps/2 {
				operator = supervisor
			}
			row.Steps = append(row.Steps, Part{
				Code: items[1+s].Code, Total: &total, Episodes: 1, Quality: timeline.Measured,
				ByOperator: []Share{{Operator: operator, Total: &total, Episodes: 1, Quality: timeline.Measured}},
			})
		}
		for s := range benchStages {
			total := int64(90_000 * math.Exp(0.5*hard+0.3*random.NormFloat64()))
			row.Stages = append(row.Stages, Part{Code: items[1+benchSteps+s].Code, Total: &total, Episodes: 1, Quality: timeline.Measured})
		}
	}
	return rows, items
}

// reportProcessor adds the processor time of all cores per operation, which a busy machine does not change much.
func reportProcessor(b *testing.B) func() {
	used := func() time.Duration {
		var u syscall.Rusage
		if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
			b.Fatal(err)
		}
		return time.Duration(u.Utime.Nano() + u.Stime.Nano())
	}
	start := used()
	return func() { b.ReportMetric(float64((used()-start).Microseconds())/1000/float64(b.N), "cpu-ms/op") }
}

// BenchmarkCompare100000 is what the compare page asks for: 21 items of 100,000 cases, 12 people by name.
func BenchmarkCompare100000(b *testing.B) {
	rows, items := inventMany(100_000)
	c := New(rows)
	b.ReportAllocs()
	defer reportProcessor(b)()
	for b.Loop() {
		Compare(c, Question{List: "list", Technique: "phaco", Items: items}, lanesOf(12))
	}
}

// BenchmarkIndex100000 is the cold start: the index of 100,000 cases, with the memory that it keeps beside the rows.
func BenchmarkIndex100000(b *testing.B) {
	rows, _ := inventMany(100_000)
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	kept := New(rows)
	runtime.GC()
	runtime.ReadMemStats(&after)
	b.ReportAllocs()
	defer reportProcessor(b)()
	for b.Loop() {
		New(rows)
	}
	b.ReportMetric(float64(after.HeapAlloc-before.HeapAlloc)/(1<<20), "MiB-kept")
	runtime.KeepAlive(kept)
}

// BenchmarkLearn100000 is the learning curve of one person with some 1,200 cases.
func BenchmarkLearn100000(b *testing.B) {
	rows, items := inventMany(100_000)
	c := New(rows)
	defer reportProcessor(b)()
	for b.Loop() {
		Learn(c, LearningQuestion{Question: Question{Technique: "phaco"}, Item: items[1], Lane: Lane{Operator: "op003"}})
	}
}
